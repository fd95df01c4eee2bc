//! Models that many facts read, run once a job: the chain, its one rounding,
//! the tolerance stack, the layout and its judgement.

use super::def::{Gap, Inputs, refused};
use crate::calc::{
    self, Arrangement, BendRef, BoxSize, Diameters, Layout, Limits, Refusal, Route, Stack, StackInput, Start,
    StartKind, TerminationChain, TerminationInput,
};
use std::cell::OnceCell;

#[derive(Default)]
pub struct Context {
    chain: OnceCell<Result<TerminationChain, Gap>>,
    rounded: OnceCell<Result<Stations, Gap>>,
    stack: OnceCell<Result<Stack, Gap>>,
    geometry: OnceCell<Result<Geometry, Gap>>,
    layout: OnceCell<Result<Layout, Gap>>,
    heights: OnceCell<Result<calc::LeastHeights, Gap>>,
    pub(super) window: OnceCell<Result<calc::SiteWindow, Gap>>,
    pub(super) gap_stack: OnceCell<Result<calc::GapStack, Gap>>,
}

impl Context {
    /// The layout, where the job gives one, and the same judged, where it is
    /// possible.
    pub fn into_layout(self) -> (Option<Layout>, Option<Geometry>) {
        let layout = self.layout.into_inner().and_then(Result::ok);
        (layout, self.geometry.into_inner().and_then(Result::ok))
    }
}

/// A layout, judged.
pub struct Geometry {
    pub layout: Layout,
    pub judged: calc::Judgement,
    pub route: Route,
}

/// Stations from the stud, exact and in whole mm after one rounding.
#[derive(Clone, Copy, Debug)]
pub struct Stations {
    exact: [f64; 7],
    whole: [i64; 7],
}

/// A station of the chain, by its letter on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Station {
    T0,
    E0,
    A,
    U,
    B,
    L,
    M,
    R,
}

impl Stations {
    /// Distance of a station from the stud: exact, and whole.
    pub fn at(&self, station: Station) -> (f64, i64) {
        match station {
            Station::T0 => (0.0, 0),
            other => {
                let i = other as usize - 1;
                (self.exact[i], self.whole[i])
            }
        }
    }

    /// From one station down to another.
    pub fn between(&self, upper: Station, lower: Station) -> (f64, i64) {
        let ((a, wa), (b, wb)) = (self.at(upper), self.at(lower));
        (b - a, wb - wa)
    }
}

fn gap(refusal: Refusal) -> Gap {
    refused(refusal.code(), refusal)
}

/// Inputs of the chain.
pub const CHAIN: [&str; 8] = [
    "lug.barrel_depth",
    "lug.growth",
    "lug.mouth_to_hole",
    "insulation_exposed",
    "kit.semicon_left",
    "kit.sct.recovered",
    "kit.sct.over_semicon",
    "ring_below_screen_cut",
];

impl Inputs<'_> {
    pub fn chain(&self) -> Result<&TerminationChain, Gap> {
        let chain = self.context.chain.get_or_init(|| {
            let [barrel, growth, mouth, exposed, left, tube, over, ring] = self.numbers(CHAIN)?;
            calc::termination_chain(&TerminationInput {
                lug_barrel_depth_mm: barrel,
                lug_growth_mm: growth,
                lug_mouth_to_hole_mm: mouth,
                insulation_exposed_mm: exposed,
                semicon_left_mm: left,
                sct_length_mm: tube,
                sct_over_semicon_mm: over,
                dia_over_semicon_mm: None,
                walls_mm: None,
                ref_ring_from_screen_cut_mm: Some(ring),
                armour_at: None,
                tail_straight_mm: None,
                bedding_left_mm: None,
                armour_left_mm: None,
                crutch_height_mm: None,
                armour_cut_from_plate_mm: None,
                sheath_cut_from_plate_mm: None,
            })
            .map_err(gap)
        });
        chain.as_ref().map_err(Clone::clone)
    }

    /// The stations after the chain's one rounding: consecutive lengths to whole
    /// mm, the total kept, so that every printed sum closes.
    pub fn stations(&self) -> Result<Stations, Gap> {
        let stations = self.context.rounded.get_or_init(|| {
            let c = self.chain()?;
            let exact = [
                c.lug_end_offset_mm,
                c.lug_insulation_end_to_stud_mm,
                c.sct_upper_from_stud_mm,
                c.semicon_edge_from_stud_mm,
                c.sct_lower_from_stud_mm,
                c.metal_screen_cut_from_stud_mm,
                c.ref_ring_from_stud_mm,
            ];
            let mut order: Vec<usize> = (0..exact.len()).collect();
            order.sort_by(|a, b| exact[*a].total_cmp(&exact[*b]));
            let mut before = 0.0;
            let lengths: Vec<f64> = order
                .iter()
                .map(|i| {
                    let length = exact[*i] - before;
                    before = exact[*i];
                    length
                })
                .collect();
            let rounded = calc::chain_rounding(&lengths).map_err(gap)?;
            let mut whole = [0; 7];
            for (i, station) in order.iter().zip(&rounded.stations_mm) {
                whole[*i] = *station;
            }
            Ok(Stations { exact, whole })
        });
        stations.as_ref().copied().map_err(Clone::clone)
    }

    pub fn stack(&self) -> Result<&Stack, Gap> {
        let stack = self.context.stack.get_or_init(|| {
            let chain = *self.chain()?;
            let [tube, least, most, over, exposed] = self.numbers([
                "kit.sct.recovered",
                "kit.sct.recovered_least",
                "kit.sct.recovered_most",
                "kit.sct.over_semicon",
                "insulation_exposed",
            ])?;
            let [cut, edge, mark] =
                self.numbers(["tol_insulation_cut", "tol_semicon_edge", "tol_tube_mark"])?;
            // Without a layout there is no floor to measure from, and no row.
            let floor = match self.aside_word("layout.crutch").as_deref() {
                Some("inside") => Some(0.0),
                Some("outside" | "none") => self.aside("layout.entry_height"),
                _ => None,
            };
            calc::tolerance_stack(&StackInput {
                sct_length_mm: tube,
                sct_length_min_mm: least,
                sct_length_max_mm: most,
                sct_over_semicon_mm: over,
                insulation_exposed_mm: exposed,
                lug_insulation_end_to_stud_mm: chain.lug_insulation_end_to_stud_mm,
                tol_insulation_cut_mm: cut,
                tol_semicon_edge_mm: edge,
                tol_tube_set_mm: mark,
                sct_over_insulation_min_mm: self.aside("cover_limit"),
                sct_over_semicon_min_mm: self.aside("kit.sct.over_semicon_least"),
                clear_surface_min_mm: self.aside("kit.clear_surface_least"),
                // Printed, not judged: the kit's least is held against the nominal.
                insulation_exposed_min_mm: None,
                edge_to_plate_min_mm: self.aside("kit.edge_to_plate_least"),
                box_gland_to_stud_mm: floor.and(self.aside("enclosure.gland_to_stud")),
                tol_box_mm: self.aside("tol_box"),
                entry_height_mm: floor,
                tube_to_plate_min_mm: self.aside("kit.earth_gap_least"),
            })
            .map_err(gap)
        });
        stack.as_ref().map_err(Clone::clone)
    }

    pub fn geometry(&self) -> Result<&Geometry, Gap> {
        let geometry = self.context.geometry.get_or_init(|| {
            let layout = self.layout()?;
            let judged = calc::judgement(&layout).map_err(gap)?;
            let route = calc::route(&layout).map_err(gap)?;
            Ok(Geometry { layout, judged, route })
        });
        geometry.as_ref().map_err(Clone::clone)
    }

    /// Least box heights, whether or not the layout as planned is possible.
    pub fn least_heights(&self) -> Result<calc::LeastHeights, Gap> {
        let heights = self.context.heights.get_or_init(|| calc::least_heights(&self.layout()?).map_err(gap));
        heights.as_ref().copied().map_err(Clone::clone)
    }

    /// The layout as planned, possible or not.
    pub(super) fn layout(&self) -> Result<Layout, Gap> {
        let layout = self.context.layout.get_or_init(|| self.read_layout());
        layout.as_ref().copied().map_err(Clone::clone)
    }

    fn read_layout(&self) -> Result<Layout, Gap> {
        let [height, pitch, core, screen] = self.numbers([
            "enclosure.gland_to_stud",
            "enclosure.stud_pitch",
            "cable.dia_over_metal_screen",
            "kit.semicon_left",
        ])?;
        let chain = self.chain()?;
        let single = self.word("layout.crutch")? == "none";
        let inside = match self.word("layout.crutch")?.as_str() {
            "inside" => true,
            "outside" | "none" => false,
            other => return Err(refused("layout-unknown", format!("`{other}` is no place of the crutch"))),
        };
        // Single-core cables stand in a row of entries; they leave no crutch.
        let arrangement = match single {
            true => Arrangement::Row,
            false if self.word("layout.leaving")? == "trefoil" => Arrangement::Trefoil,
            false => Arrangement::Row,
        };
        let mut start = Start {
            kind: if inside { StartKind::Crutch } else { StartKind::Entries },
            arrangement: Some(arrangement),
            // The model's y points to the cover and its x along the studs from
            // the left as seen from there, so that seen from above its angles
            // run clockwise; the job counts anticlockwise.
            rotation_deg: self.maybe("layout.trefoil_turn").map(|turn| -turn),
            lean_deg: self.maybe("layout.lean"),
            lean_towards_deg: self.lean_towards()?,
            core_dia_mm: core,
            crutch_height_mm: None,
            entry_pitch_mm: None,
            entry_height_mm: None,
            crutch_below_plate_mm: None,
        };
        if inside {
            start.crutch_height_mm = Some(self.number("layout.crutch_height")?);
        } else {
            let [entry_pitch, entry_height] = self.numbers(["layout.entry_pitch", "layout.entry_height"])?;
            start.entry_pitch_mm = Some(entry_pitch);
            start.entry_height_mm = Some(entry_height);
            if !single {
                start.crutch_below_plate_mm = Some(self.number("layout.crutch_below_plate")?);
            }
        }
        let studs = self.word("layout.core_to_stud")?;
        let mut core_to_stud = [0; 3];
        for (slot, word) in core_to_stud.iter_mut().zip(studs.split_whitespace()) {
            *slot = word.parse().unwrap_or(0);
        }
        let tube = self.number("dia_outer_at_edge")?;
        let (below, clear) = self.diameters(tube, core)?;
        // A limit that is not answered counts as nought here: the verdict that
        // rests on it names it as missing, the others stand.
        let limit = |name| self.aside(name).unwrap_or(0.0);
        Ok(Layout {
            box_: BoxSize {
                gland_to_stud_mm: height,
                stud_pitch_mm: pitch,
                stud_to_wall_mm: self.aside("enclosure.stud_to_wall"),
                stud_to_cover_mm: self.aside("enclosure.stud_to_cover"),
                stud_to_back_mm: self.aside("enclosure.stud_to_back"),
            },
            start,
            core_to_stud,
            lug_insulation_end_to_stud_mm: chain.lug_insulation_end_to_stud_mm,
            insulation_exposed_mm: self.number("insulation_exposed")?,
            sct_over_insulation_mm: chain.sct_over_insulation_mm,
            sct_over_semicon_mm: self.number("kit.sct.over_semicon")?,
            semicon_left_mm: screen,
            dia: Diameters { below_tube_mm: below, tube_mm: tube, clear_mm: clear },
            limits: Limits {
                phase_gap_min_mm: limit("kit.phase_gap_least"),
                earth_gap_min_mm: limit("kit.earth_gap_least"),
                edge_to_plate_min_mm: limit("kit.edge_to_plate_least"),
                edge_to_crutch_min_mm: limit("kit.edge_to_crutch_least"),
                min_bend_core_mm: self.aside("cable.min_bend_core"),
                min_bend_ref: Some(if self.aside_word("cable.min_bend_core_to").as_deref() == Some("axis") {
                    BendRef::Axis
                } else {
                    BendRef::Inside
                }),
            },
        })
    }

    /// Way in which cable and cores lean, from the studs' row towards the cover;
    /// needed only where they lean.
    fn lean_towards(&self) -> Result<Option<f64>, Gap> {
        if self.maybe("layout.lean").is_none_or(|lean| lean == 0.0) {
            return Ok(None);
        }
        Ok(Some(match self.word("layout.lean_towards")?.as_str() {
            "right" => 0.0,
            "cover" => 90.0,
            "left" => 180.0,
            _ => 270.0,
        }))
    }

    /// Diameters below the tube and above it. Where the kit states no outer wall
    /// the tube's own diameter stands for both, never too favourable.
    fn diameters(&self, tube: f64, core: f64) -> Result<(f64, f64), Gap> {
        let bare = self.word("kit.below_body").is_ok_and(|w| w == "bare core");
        let wall = self.maybe("kit.outer_tube.wall");
        Ok(match (bare, wall) {
            (true, _) => (core, self.number("cable.dia_over_insulation")?),
            (false, Some(wall)) => {
                (core + 2.0 * wall, self.number("cable.dia_over_insulation")? + 2.0 * wall)
            }
            (false, None) => (tube, tube),
        })
    }
}

/// Everything that shapes the layout, and what a fact reads besides.
macro_rules! shaped_by {
    ($($more:literal),*) => {
        &[
            "lug.barrel_depth", "lug.growth", "lug.mouth_to_hole", "insulation_exposed", "kit.semicon_left",
            "kit.sct.recovered", "kit.sct.over_semicon", "ring_below_screen_cut", "enclosure.gland_to_stud",
            "enclosure.stud_pitch", "cable.dia_over_metal_screen", "cable.dia_over_insulation", "dia_outer_at_edge", "kit.outer_tube.wall",
            "kit.below_body", "layout.crutch", "layout.leaving", "layout.trefoil_turn", "layout.crutch_height",
            "layout.entry_pitch", "layout.entry_height", "layout.crutch_below_plate", "layout.core_to_stud",
            "layout.lean", "layout.lean_towards" $(, $more)*
        ]
    };
}
pub(super) use shaped_by;
