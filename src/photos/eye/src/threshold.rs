//! Dark or light, against the neighbourhood: a shadow across a card changes
//! every shade and no module.

use crate::gray::Gray;

/// One byte a pixel: 1 dark, 0 light.
pub struct Dark {
    pub width: usize,
    pub height: usize,
    cells: Vec<u8>,
}

impl Dark {
    /// A pixel is dark where it lies more than `step` below the mean of the
    /// square of side `2 r + 1` round it.
    pub fn new(gray: &Gray, r: usize, step: u8) -> Dark {
        let mean = gray.mean(r);
        let dark = |(p, m): (&u8, &u8)| u8::from(p.saturating_add(step) < *m);
        let cells = gray.pixels.iter().zip(&mean.pixels).map(dark).collect();
        Dark { width: gray.width, height: gray.height, cells }
    }

    pub fn row(&self, y: usize) -> &[u8] {
        &self.cells[y * self.width..(y + 1) * self.width]
    }

    /// Whether the pixel is dark; outside the frame all is light.
    pub fn is(&self, x: isize, y: isize) -> bool {
        x >= 0
            && y >= 0
            && (x as usize) < self.width
            && (y as usize) < self.height
            && self.cells[y as usize * self.width + x as usize] == 1
    }
}
