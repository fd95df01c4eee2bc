//! The facts of an as-found end: for the whole, each phase, each pair of phases.

use super::place::{From, Item};
use super::rebuilt::{Fits, Rebuilt};
use crate::calc::{TubeLength, TubeLengthInput, tube_length_rule};
use crate::facts::{Gap, Sheet};
use crate::job::{Job, Value};
use crate::units::{Rounding, fixed};

pub(super) const PHASES: [(&str, &str); 3] = [("l1", "L1"), ("l2", "L2"), ("l3", "L3")];
const PAIRS: [(&str, &str); 3] = [("l1_l2", "L1-L2"), ("l2_l3", "L2-L3"), ("l1_l3", "L1-L3")];

/// Overlap of a tube on the core screen where nobody knows the kit, mm. Common
/// practice, no source.
const OVERLAP: f64 = 20.0;

/// The end, the facts of its job, and a new end by the same kit in the same box.
pub(super) struct View<'a> {
    pub found: &'a Job,
    pub sheet: &'a Sheet,
    pub rebuilt: &'a Result<Rebuilt, String>,
}

fn missing(name: &str) -> Gap {
    Gap::Missing(vec![name.to_string()])
}

impl View<'_> {
    fn number(&self, key: &str) -> Result<f64, Gap> {
        self.found.get(key).and_then(Value::number).ok_or_else(|| missing(key))
    }

    fn word(&self, key: &str) -> Result<String, Gap> {
        self.found.text(key).ok_or_else(|| missing(key))
    }

    fn yes(&self, key: &str) -> Result<bool, Gap> {
        match self.found.get(key) {
            Some(Value::YesNo(yes)) => Ok(*yes),
            _ => Err(missing(key)),
        }
    }

    /// A number of the job, given or computed.
    fn job(&self, name: &str) -> Result<f64, Gap> {
        match self.sheet.get(name).map(|f| &f.value) {
            Some(Ok(value)) => value.number().ok_or_else(|| missing(name)),
            Some(Err(gap)) => Err(gap.clone()),
            None => Err(missing(name)),
        }
    }

    /// A fact of the job as the pack prints it.
    fn job_fact(&self, name: &str) -> Result<(Value, String), Gap> {
        match self.sheet.get(name) {
            Some(fact) => fact.value.clone().map(|value| (value, fact.text.clone())),
            None => Err(missing(name)),
        }
    }

    /// Whether the end stands on a pole or structure.
    fn outdoors(&self) -> bool {
        self.sheet.is_yes("found_outdoors")
    }

    fn kit_known(&self) -> Result<bool, Gap> {
        match self.sheet.get("kit_known").map(|f| &f.value) {
            Some(Ok(Value::YesNo(yes))) => Ok(*yes),
            Some(Err(gap)) => Err(gap.clone()),
            _ => Err(missing("kit")),
        }
    }

    /// Whether the stress control is a tube, as it was found.
    fn tube(&self) -> Result<bool, Gap> {
        Ok(self.word("stress_control.kind")? == "tube")
    }

    fn length(&self, phase: &str) -> Result<f64, Gap> {
        both(self.number(&format!("{phase}.lower_step")), self.number(&format!("{phase}.upper_step")))
            .map(|(lower, upper)| lower - upper)
    }

    fn judged(&self, phase: &str) -> Result<TubeLength, Gap> {
        let (operating_kv, tube_mm) = both(self.job("system.nominal"), self.length(phase))?;
        tube_length_rule(&TubeLengthInput { operating_kv, tube_mm, moulded: false })
            .map_err(|r| Gap::Refused { code: r.code().into(), why: r.to_string() })
    }
}

/// Both values, or everything that is missing.
fn both<A, B>(a: Result<A, Gap>, b: Result<B, Gap>) -> Result<(A, B), Gap> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(Gap::Missing(mut a)), Err(Gap::Missing(b))) => {
            a.extend(b);
            Err(Gap::Missing(a))
        }
        (Err(gap), _) | (_, Err(gap)) => Err(gap),
    }
}

pub(super) fn whole(view: &View) -> Item {
    let mut item = Item::new("found");
    let known = view.kit_known();
    item.word("end.kit", known.clone().map(|_| view.sheet.text("found_by").to_string()), From::Job("kit"))
        .yes("end.kit_known", known, From::Job("kit"))
        .yes("end.tube", view.tube(), From::Found("stress_control.kind"))
        .yes("end.dressable", view.yes("gaps.can_be_dressed"), From::Found("gaps.can_be_dressed"))
        .kv("end.kit_um", view.job("kit.um"), From::Job("kit.um"))
        .kv("end.highest", view.job("system.highest"), From::Job("system.highest"))
        .kv("end.cable_u0", view.job("cable.u0"), From::Job("cable.u0"))
        .kv("end.u0_required", view.job("u0_required"), From::Job("system.earthing_category"))
        .yes("end.outdoors", Ok(view.outdoors()), From::Job("job.work_type"))
        .word(
            "end.place",
            Ok(if view.outdoors() { "on this pole" } else { "in this box" }.into()),
            From::Job("job.work_type"),
        )
        .put("end.kit_environment", view.job_fact("kit.environment"), From::Job("kit.environment"))
        .put("end.kit_creepage", view.job_fact("kit.creepage"), From::Job("kit.creepage"))
        .put("end.creepage_needed", view.job_fact("creepage_needed"), From::Job("site.pollution_class"))
        .put("end.pollution", view.job_fact("site.pollution_class"), From::Job("site.pollution_class"));
    let lengths: Result<Vec<f64>, Gap> = PHASES.iter().map(|(key, _)| view.length(key)).collect();
    let differ =
        lengths.map(|l| l.iter().copied().fold(0.0, f64::max) - l.iter().copied().fold(f64::MAX, f64::min));
    item.mm("end.lengths_differ", differ, From::Found("l1.upper_step"));
    let months = view.job("inspection.recheck_months");
    let months = months.map(|n| (Value::Number(n), format!("{} months", fixed(n, 0, Rounding::Nearest))));
    item.put("end.recheck", months, From::Job("inspection.recheck_months"));
    for (name, key) in [
        ("survey.discharge", "survey.discharge"),
        ("survey.warmth", "survey.warmth"),
        ("survey.smell", "survey.smell"),
        ("tested.result", "tested.result"),
    ] {
        item.word(name, view.word(key), From::Found(key));
    }
    new_end_in_this_box(view, &mut item);
    item
}

/// Whether geometry is the cause: what the same kit, built right, comes to here.
fn new_end_in_this_box(view: &View, item: &mut Item) {
    let (gap, height, earth, arcing) = match view.rebuilt {
        Ok(new) => (
            new.fits(&[("B02", &[])]),
            new.fits(&[("B01", &[]), ("B03", &["edge", "tube", "crutch"])]),
            new.fits(&[("B03", &["wall", "cover", "back", "bracket"])]),
            new.fits(&[("K09", &["arcing"])]),
        ),
        Err(_) => (Fits::NotKnown, Fits::NotKnown, Fits::NotKnown, Fits::NotKnown),
    };
    let most = view.rebuilt.as_ref().ok().and_then(|new| new.sheet.number("phase_gap_bound"));
    let most =
        most.map_or_else(|| "not known".to_string(), |mm| format!("{} mm", fixed(mm, 1, Rounding::Nearest)));
    let why = view.rebuilt.as_ref().err().cloned().unwrap_or_else(|| "computed".into());
    let from = From::Job("enclosure.gland_to_stud");
    item.word("box.gap", Ok(gap.words().into()), from)
        .word("box.height", Ok(height.words().into()), from)
        .word("box.earth", Ok(earth.words().into()), from)
        .word("box.arcing", Ok(arcing.words().into()), From::Job("enclosure.arcing_distance"))
        .word("box.gap_most", Ok(most), from)
        .word("box.why", Ok(why), from);
}

pub(super) fn phases(view: &View) -> Vec<Item> {
    PHASES.iter().map(|(key, name)| phase(view, key, name)).collect()
}

fn phase(view: &View, phase: &str, name: &str) -> Item {
    let mut item = Item::new(phase);
    let key = |part: &str| format!("{phase}.{part}");
    let (upper, lower) = (key("upper_step"), key("lower_step"));
    item.word("phase.name", Ok(name.into()), From::Found(phase));
    item.word(
        "phase.where",
        Ok(view.word(&key("where")).unwrap_or_else(|_| "place not written".into())),
        From::Found(&key("where")),
    );
    item.mm("tube.length", view.length(phase), From::Found(&lower))
        .mm("tube.upper", view.number(&upper), From::Found(&upper))
        .mm("tube.lower", view.number(&lower), From::Found(&lower))
        .kv("tube.voltage", view.job("system.nominal"), From::Job("system.nominal"));
    let judged = view.judged(phase);
    let suits = judged.clone().map(|t| match t.suits_kv {
        Some(kv) => format!("{} kV", fixed(kv, usize::from(kv.fract() != 0.0), Rounding::Nearest)),
        None => "no voltage of the series".into(),
    });
    item.word("tube.class", judged.clone().map(|t| t.class.as_str().into()), From::Found(&lower))
        .mm("tube.least", judged.clone().map(|t| t.least_mm), From::Job("system.nominal"))
        .mm("tube.most", judged.map(|t| t.most_mm), From::Job("system.nominal"))
        .word("tube.suits", suits, From::Found(&lower));
    let stated = view.kit_known().map(|known| {
        let inside =
            |mm: f64| view.sheet.number("kit.sct.recovered_least").is_some_and(|least| mm >= least - 1e-9);
        known && view.sheet.is_yes("sheet_states_length") && view.length(phase).is_ok_and(inside)
    });
    item.yes("tube.stated", stated, From::Job("kit.sct.stated_for_um")).mm(
        "tube.kit_least",
        view.job("kit.sct.recovered_least"),
        From::Job("kit.sct.recovered_least"),
    );
    cover(view, phase, &mut item);
    heights(view, phase, &mut item);
    let earth = key("earth_gap");
    item.mm("earth.gap", view.number(&earth), From::Found(&earth)).mm(
        "earth.least",
        view.job("found_earth_gap_least"),
        From::Job(limit(view, "earth_gap_least")),
    );
    for (name, part) in [
        ("edge.mastic", "mastic_at_edge"),
        ("edge.finish", "edge_finish"),
        ("upper.finish", "upper_end"),
        ("mark.colour", "discoloration"),
        ("mark.powder", "powder"),
        ("mark.surface", "surface"),
        ("palm.state", "palm"),
        ("palm.insulation", "insulation"),
        ("lead.state", "screen_lead"),
        ("shed.state", "sheds"),
        ("seal.state", "seals"),
    ] {
        item.word(name, view.word(&key(part)), From::Found(&key(part)));
    }
    let (creepage, arcing) = (key("creepage"), key("arcing"));
    item.mm("creep.found", view.number(&creepage), From::Found(&creepage))
        .mm("arc.found", view.number(&arcing), From::Found(&arcing))
        .put("arc.needed", view.job_fact("arcing_needed"), From::Job("kit.strike"));
    let some = key("mastic_at_upper_end");
    item.yes("upper.mastic", view.yes(&some), From::Found(&some));
    item
}

/// Key of a limit: the kit's where the kit is known, else the client's.
fn limit(view: &View, name: &str) -> &'static str {
    match (view.kit_known(), name) {
        (Ok(true), "earth_gap_least") => "kit.earth_gap_least",
        (_, "earth_gap_least") => "inspection.earth_gap_least",
        (Ok(true), "phase_gap_least") => "kit.phase_gap_least",
        (_, "phase_gap_least") => "inspection.phase_gap_least",
        (Ok(true), _) => "kit.edge_to_plate_least",
        _ => "inspection.edge_to_plate_least",
    }
}

/// Cover on the insulation: from the edge where it is felt, else the length less
/// the overlap on the core screen.
fn cover(view: &View, phase: &str, item: &mut Item) {
    let edge = format!("{phase}.edge");
    let felt = felt(view, phase);
    let kit = view.sheet.number("kit.sct.over_semicon").filter(|_| view.kit_known().is_ok_and(|k| k));
    let (length, from) = match &felt {
        Err(gap) => (Err(gap.clone()), "not known".to_string()),
        Ok(true) => {
            let ends = both(view.number(&edge), view.number(&format!("{phase}.upper_step")));
            (ends.map(|(edge, upper)| edge - upper), "edge felt".to_string())
        }
        Ok(false) => {
            let overlap = kit.unwrap_or(OVERLAP);
            let whose = if kit.is_some() { "kit" } else { "common practice, no source" };
            let words = format!(
                "length less {} mm on the core screen, {whose}",
                fixed(overlap, 0, Rounding::Nearest)
            );
            (view.length(phase).map(|mm| mm - overlap), words)
        }
    };
    let least = match view.kit_known() {
        Ok(true) => view.job("cover_limit"),
        Ok(false) => view.job("cover_screening"),
        Err(gap) => Err(gap),
    };
    let whose =
        if view.kit_known().is_ok_and(|k| k) { "kit.sct.over_insulation_least" } else { "system.highest" };
    item.mm("cover.length", length, From::Found(&edge)).mm("cover.least", least, From::Job(whose)).word(
        "cover.from",
        Ok(from),
        From::Found(&edge),
    );
}

/// Whether the edge is felt: a length, or `none`.
fn felt(view: &View, phase: &str) -> Result<bool, Gap> {
    let edge = format!("{phase}.edge");
    match view.found.get(&edge) {
        Some(Value::None(_)) => Ok(false),
        Some(_) => Ok(true),
        None => Err(missing(&edge)),
    }
}

fn heights(view: &View, phase: &str, item: &mut Item) {
    let key = format!("{phase}.lower_step_height");
    let step = view.number(&key);
    let felt = felt(view, phase);
    let above = both(
        step.clone(),
        both(view.number(&format!("{phase}.lower_step")), view.number(&format!("{phase}.edge"))),
    );
    item.mm("step.height", step, From::Found(&key))
        .mm("step.least", view.job("found_earth_gap_least"), From::Job(limit(view, "earth_gap_least")))
        .yes("edge.known", felt, From::Found(&format!("{phase}.edge")))
        .mm("edge.height", above.map(|(step, (lower, edge))| step + lower - edge), From::Found(&key))
        .mm("edge.least", view.job("found_edge_least"), From::Job(limit(view, "edge_to_plate_least")));
}

pub(super) fn pairs(view: &View) -> Vec<Item> {
    PAIRS.iter().map(|(key, name)| pair(view, key, name)).collect()
}

fn pair(view: &View, pair: &str, name: &str) -> Item {
    let at = format!("gaps.{pair}");
    let mut item = Item::new(&at);
    let key = |part: &str| format!("{at}.{part}");
    let least = view.job("found_gap_least");
    item.word("pair.name", Ok(name.into()), From::Found(&at));
    // Cores that can not face have no gap: that is an answer.
    let faces = !matches!(view.found.get(&key("gap")), Some(Value::None(_)));
    let gap = if faces { view.number(&key("gap")) } else { Ok(f64::INFINITY) };
    let short = both(gap.clone(), least.clone()).map(|(gap, least)| gap < least - 1e-9);
    if faces {
        item.mm("pair.gap", gap, From::Found(&key("gap")));
    } else {
        item.word("pair.gap", Ok("none".into()), From::Found(&key("gap")));
    }
    let from = if view.outdoors() { "down from T0" } else { "above the plate" };
    let height = view
        .found
        .text(&key("height"))
        .map_or_else(|| "at a place not written".into(), |height| format!("{height} {from}"));
    item.yes("pair.short", short, From::Found(&key("gap")))
        .mm("pair.least", least, From::Job(limit(view, "phase_gap_least")))
        .word("pair.height", Ok(height), From::Found(&key("height")))
        .word("pair.cores", view.word(&key("cores")), From::Found(&key("cores")));
    item
}

/// Whether the cable is long enough for another end; asked only where one is
/// called for.
pub(super) fn new_end(view: &View, called: bool) -> Item {
    let mut item = Item::new("remake");
    let cut = view.number("remake.cut_from_stud");
    // A new core end stands where the old one stood; without the lug's figures all
    // of the cut is counted, never too favourable.
    let end = view.sheet.number("lug_end_offset").unwrap_or(0.0);
    item.yes("new.called", Ok(called), From::Found("remake"))
        .mm("new.cut", cut.clone(), From::Found("remake.cut_from_stud"))
        .mm("new.lost", cut.map(|cut| cut - end), From::Found("remake.cut_from_stud"))
        .mm("new.slack", view.number("remake.slack"), From::Found("remake.slack"));
    item
}
