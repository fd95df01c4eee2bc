//! A picture in shades of grey.

/// Eight bits a pixel, rows from the top, no padding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gray {
    pub width: usize,
    pub height: usize,
    pub pixels: Vec<u8>,
}

impl Gray {
    /// `None` where the pixels don't fill the frame.
    pub fn new(width: usize, height: usize, pixels: Vec<u8>) -> Option<Gray> {
        (width.checked_mul(height) == Some(pixels.len())).then_some(Gray { width, height, pixels })
    }

    pub fn row(&self, y: usize) -> &[u8] {
        &self.pixels[y * self.width..(y + 1) * self.width]
    }

    /// Half the size, each pixel the mean of four.
    pub fn half(&self) -> Gray {
        let (width, height) = (self.width / 2, self.height / 2);
        let mut pixels = Vec::with_capacity(width * height);
        for y in 0..height {
            let (a, b) = (self.row(2 * y), self.row(2 * y + 1));
            pixels.extend(a.chunks_exact(2).zip(b.chunks_exact(2)).map(|(a, b)| {
                let sum = u16::from(a[0]) + u16::from(a[1]) + u16::from(b[0]) + u16::from(b[1]);
                ((sum + 2) / 4) as u8
            }));
        }
        Gray { width, height, pixels }
    }

    /// The mean of the square of side `2 r + 1` round every pixel, cut at the
    /// edges of the frame.
    pub fn mean(&self, r: usize) -> Gray {
        let (w, h) = (self.width, self.height);
        let mut columns = vec![0u32; w];
        let mut pixels = Vec::with_capacity(w * h);
        let (mut top, mut bottom) = (0, 0);
        for y in 0..h {
            while bottom < (y + r + 1).min(h) {
                columns.iter_mut().zip(self.row(bottom)).for_each(|(c, p)| *c += u32::from(*p));
                bottom += 1;
            }
            while top < y.saturating_sub(r) {
                columns.iter_mut().zip(self.row(top)).for_each(|(c, p)| *c -= u32::from(*p));
                top += 1;
            }
            let rows = (bottom - top) as u32;
            let mut sum: u32 = columns[..r.min(w)].iter().sum();
            let mut count = r.min(w) as u32;
            for x in 0..w {
                if x + r < w {
                    sum += columns[x + r];
                    count += 1;
                }
                if x > r {
                    sum -= columns[x - r - 1];
                    count -= 1;
                }
                pixels.push((sum / (count * rows).max(1)) as u8);
            }
        }
        Gray { width: w, height: h, pixels }
    }

    /// Shades as logarithms: half the light is the same step everywhere, so that
    /// a card half in the sun is one card.
    pub fn logarithms(&self) -> Gray {
        let top = (1.0f32 + 255.0 / 8.0).ln();
        let table: [u8; 256] = std::array::from_fn(|v| ((1.0 + v as f32 / 8.0).ln() / top * 255.0) as u8);
        let pixels = self.pixels.iter().map(|p| table[usize::from(*p)]).collect();
        Gray { width: self.width, height: self.height, pixels }
    }

    /// Against blur over about `r` pixels: what stands out from its
    /// neighbourhood stands out more.
    pub fn sharper(&self, r: usize) -> Gray {
        let mean = self.mean(r);
        let sharp = |(p, m): (&u8, &u8)| (i32::from(*p) * 5 - i32::from(*m) * 3) / 2;
        let pixels = self.pixels.iter().zip(&mean.pixels).map(|p| sharp(p).clamp(0, 255) as u8).collect();
        Gray { width: self.width, height: self.height, pixels }
    }

    /// The part from (`x0`, `y0`) to before (`x1`, `y1`), cut at the edges.
    pub fn crop(&self, x0: usize, y0: usize, x1: usize, y1: usize) -> Gray {
        let (x1, y1) = (x1.min(self.width), y1.min(self.height));
        let (x0, y0) = (x0.min(x1), y0.min(y1));
        let pixels = (y0..y1).flat_map(|y| self.row(y)[x0..x1].iter().copied()).collect();
        Gray { width: x1 - x0, height: y1 - y0, pixels }
    }

    /// The shade at a point between pixel centres; pixel 0 has its centre at 0.5.
    pub fn at(&self, x: f32, y: f32) -> f32 {
        let x = (x - 0.5).clamp(0.0, self.width as f32 - 1.001);
        let y = (y - 0.5).clamp(0.0, self.height as f32 - 1.001);
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = (x - i as f32, y - j as f32);
        let get = |i: usize, j: usize| {
            f32::from(self.pixels[j.min(self.height - 1) * self.width + i.min(self.width - 1)])
        };
        let top = get(i, j) * (1.0 - fx) + get(i + 1, j) * fx;
        let low = get(i, j + 1) * (1.0 - fx) + get(i + 1, j + 1) * fx;
        top * (1.0 - fy) + low * fy
    }
}
