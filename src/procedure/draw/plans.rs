//! Plans of the box, one at the height of each least gap that lies level, with the
//! figure, the limit and what is to spare beside the arrow. Gaps that stand upright
//! have theirs beside the elevation.

use super::canvas::Canvas;
use super::enclosure::{LINE, held, mark, numbered, where_along, whole};
use super::view::{depth, fill};
use super::{PAGE_WIDTH, scale};
use crate::facts::{GapTo, Picture, PictureGap, PicturePhase, Sheet};

/// Gaps whose heights differ by no more than this share a plan, mm of the box.
const SAME_LEVEL: f64 = 12.0;
/// Room for the words at the right of a plan, mm of paper.
const WORDS: f64 = 21.0;
/// From the plan to its words.
const TO_WORDS: f64 = 2.0;
/// Most height of a plan; room for its title above and the word under it.
const PLAN_MOST: f64 = 43.0;
const TITLE: f64 = 7.0;
const UNDER: f64 = 5.0;

pub(super) struct Plans {
    /// Heights above the plate, lowest first.
    pub levels: Vec<f64>,
    pub name: String,
    k: f64,
    /// Height of a row of plans, mm of paper.
    row: f64,
}

fn level(gap: &PictureGap) -> bool {
    gap.to != GapTo::Plate
}

impl Plans {
    pub fn new(picture: &Picture) -> Self {
        let gaps = || picture.gaps.iter().filter(|gap| level(gap));
        let mut levels: Vec<f64> = gaps().map(PictureGap::height).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|a, b| (*a - *b).abs() <= SAME_LEVEL);
        let half = picture.stud_pitch + picture.stud_to_wall;
        let [(back, _), (cover, _)] = depth(picture);
        let (kw, by_width) = scale(2.0 * half, PAGE_WIDTH / 2.0 - WORDS - TO_WORDS - 1.0);
        let (kh, by_height) = scale(cover - back, PLAN_MOST);
        let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
        let lines = |height: &f64| {
            let here = gaps().filter(|gap| (gap.height() - height).abs() <= SAME_LEVEL);
            here.map(|gap| (3 + gap.ends.len()) as f64 * LINE + 2.0).sum::<f64>()
        };
        let words = levels.iter().map(lines).fold(0.0, f64::max);
        Self { row: TITLE + words.max((cover - back) * k) + UNDER, levels, name, k }
    }

    /// Height of all rows, mm of paper.
    pub fn height(&self) -> f64 {
        self.levels.len().div_ceil(2) as f64 * self.row
    }

    pub fn draw(&self, c: &mut Canvas, picture: &Picture, sheet: &Sheet, top: f64) {
        for (i, height) in self.levels.iter().enumerate() {
            let left = (i % 2) as f64 * PAGE_WIDTH / 2.0;
            self.plan(c, picture, sheet, *height, [left + 0.5, top + (i / 2) as f64 * self.row + TITLE]);
        }
    }

    fn plan(&self, c: &mut Canvas, picture: &Picture, sheet: &Sheet, height: f64, corner: [f64; 2]) {
        let half = picture.stud_pitch + picture.stud_to_wall;
        let [(back, back_known), (cover, cover_known)] = depth(picture);
        // The cover is nearest to the reader, as in the view from the cover.
        let at = |x: f64, y: f64| [corner[0] + (x + half) * self.k, corner[1] + (y - back) * self.k];
        let dash = |known: bool| if known { "solid" } else { "dash" };
        c.path(&[at(-half, back), at(half, back)], 0.7, dash(back_known));
        c.path(&[at(-half, cover), at(half, cover)], 0.7, dash(cover_known));
        c.path(&[at(-half, back), at(-half, cover)], 0.7, "solid");
        c.path(&[at(half, back), at(half, cover)], 0.7, "solid");
        for phase in &picture.phases {
            if let Some((zone, outline)) = cut(phase, height) {
                let outline: Vec<[f64; 2]> = outline.into_iter().map(|p| at(p[0], p[1])).collect();
                let (fill, w) = fill(zone);
                c.poly(&outline, fill, w);
            }
        }
        for n in [-1.0, 0.0, 1.0] {
            let stud = at(n * picture.stud_pitch, 0.0);
            c.line([stud[0] - 1.2, stud[1]], [stud[0] + 1.2, stud[1]], 0.2, "solid");
            c.line([stud[0], stud[1] - 1.2], [stud[0], stud[1] + 1.2], 0.2, "solid");
        }
        let x = at(half, back)[0] + TO_WORDS;
        let mut y = corner[1] + 1.5;
        let mut names = Vec::new();
        for (number, gap) in numbered(picture).filter(|(_, gap)| level(gap)) {
            if (gap.height() - height).abs() > SAME_LEVEL {
                continue;
            }
            names.push(format!("{number} {}", to(gap)));
            let (a, b) = (gap.from_mm, gap.to_mm);
            mark(c, at(a[0], a[1]), at(b[0], b[1]), number);
            let mut words = held(sheet, gap.figure, gap.limit);
            words.extend(where_along(gap));
            for (i, line) in words.into_iter().enumerate() {
                let line = if i == 0 { format!("{number}: {line}") } else { line };
                c.text([x, y], line, if i == 0 { 9.5 } else { 9.0 }, i == 0, "start");
                y += LINE;
            }
            y += 2.0;
        }
        let heading = format!("plan {} mm above G: {}", whole(height), names.join(", "));
        c.text([at(-half, back)[0], corner[1] - 3.4], heading, 9.0, true, "start");
        let foot = at(0.0, cover);
        c.text([foot[0], foot[1] + 2.4], "cover", 9.0, false, "middle");
    }
}

/// What a gap leads to, in a title.
fn to(gap: &PictureGap) -> &'static str {
    match gap.to {
        GapTo::Phase => "phase gap",
        GapTo::Plate => "plate",
        GapTo::Wall => "wall",
        GapTo::Cover => "cover",
        GapTo::Back => "back",
    }
}

/// The cut through a core at a height. Just under the end of its tube the tube
/// itself is drawn: it is what the gap runs to.
fn cut(phase: &PicturePhase, height: f64) -> Option<(&'static str, Vec<[f64; 2]>)> {
    let steps = [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| height + share * SAME_LEVEL);
    let live = steps.into_iter().filter_map(|z| phase.section(z)).find(|(zone, _)| *zone != "below");
    live.or_else(|| phase.section(height))
}
