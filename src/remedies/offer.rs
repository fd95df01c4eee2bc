//! What a job offers to be changed: its layout as the search takes it, and for
//! each way that it does not offer, what is missing.

use super::Request;
use super::edit::{Change, apply};
use super::lift::{of_the_kit, speaks_against_kit};
use crate::calc::{
    CrutchLowerOption, CrutchOutsideOption, EdgeUpOption, EntriesMovedOption, ExtensionOption, KitLimits,
    KitOption, Remedy, RemedyInput, RemedyOptions,
};
use crate::facts;
use crate::job::schema::Shelf;
use crate::job::{self, Job, Value};
use std::collections::{BTreeMap, BTreeSet};

/// The search's input, and what the job leaves open.
pub(super) struct Offer {
    pub input: RemedyInput,
    /// Why a way is not offered, where the job is what says so.
    pub reasons: BTreeMap<Remedy, String>,
    /// Kits of the library that were not taken into the search, and why.
    pub kits_left_out: Vec<(String, String)>,
    techniques: BTreeMap<String, String>,
}

impl Offer {
    pub fn kit(&self, code: &str) -> Option<&KitOption> {
        self.input.options.kits.as_ref()?.iter().find(|kit| kit.code == code)
    }

    /// Technique of a kit that was taken into the search.
    pub fn technique(&self, code: &str) -> Option<&str> {
        self.techniques.get(code).map(String::as_str)
    }
}

/// Limits and distances without which a rule of the enclosure is not judged.
const MUST_BE_THERE: [&str; 8] = [
    "kit.phase_gap_least",
    "kit.earth_gap_least",
    "kit.edge_to_plate_least",
    "kit.edge_to_crutch_least",
    "cable.min_bend_core",
    "enclosure.stud_to_wall",
    "enclosure.stud_to_cover",
    "enclosure.stud_to_back",
];

pub(super) fn offer(request: &Request<'_>) -> Result<Offer, String> {
    let sheet = request.sheet;
    let inside = sheet.text("layout.crutch") == "inside";
    let needless = |name: &str| !inside && name == "kit.edge_to_crutch_least";
    let missing: Vec<&str> =
        MUST_BE_THERE.into_iter().filter(|name| sheet.number(name).is_none() && !needless(name)).collect();
    if !missing.is_empty() {
        return Err(format!("{} first: no rule of the enclosure is judged without", named(&missing)));
    }
    let Some(layout) = sheet.layout().copied() else {
        let why = match sheet.get("layout_state").map(|f| &f.value) {
            Some(Err(facts::Gap::Missing(names))) => {
                named(&names.iter().map(String::as_str).collect::<Vec<_>>())
            }
            Some(Err(facts::Gap::Refused { why, .. })) => return Err(why.clone()),
            _ => "the layout".into(),
        };
        return Err(format!("{why} first: there is no layout without"));
    };
    let mut reasons = BTreeMap::new();
    let mut figures = |remedy: Remedy, names: &[&'static str]| -> Option<Vec<f64>> {
        let missing: Vec<&str> = names.iter().copied().filter(|n| sheet.number(n).is_none()).collect();
        if missing.is_empty() {
            return names.iter().map(|n| sheet.number(n)).collect();
        }
        reasons.insert(remedy, format!("{} not given", named(&missing)));
        None
    };
    let edge_up = figures(Remedy::EdgeUp, &["kit.insulation_exposed.least", "kit.clear_surface_least"]);
    let extension = figures(Remedy::Extension, &["enclosure.extension_most"]);
    let mut moved = None;
    let (lower, outside) = if inside {
        (
            figures(Remedy::CrutchLower, &["layout.crutch_height_least"]),
            figures(
                Remedy::CrutchOutside,
                &["layout.entry_height", "enclosure.entry_pitch_most", "enclosure.room_below_plate"],
            ),
        )
    } else {
        moved = figures(Remedy::EntriesMoved, &["enclosure.entry_pitch_most"]).map(|f| EntriesMovedOption {
            entry_pitch_max_mm: f[0],
            room_below_plate_mm: sheet.number("enclosure.room_below_plate"),
        });
        for remedy in [Remedy::CrutchLower, Remedy::CrutchOutside] {
            let why = match layout.start.crutch_below_plate_mm {
                Some(_) => "the crutch is outside the box already",
                None => "single-core cables have no crutch",
            };
            reasons.insert(remedy, why.into());
        }
        (None, None)
    };
    if inside {
        reasons.insert(Remedy::EntriesMoved, "the crutch is in the box, there are no entries to move".into());
    }
    let mut kits = Kits { request, options: Vec::new(), left_out: Vec::new(), techniques: BTreeMap::new() };
    kits.look();
    if kits.options.is_empty() {
        reasons.insert(Remedy::OtherKit, "no other kit of the library suits this cable".into());
    }
    let options = RemedyOptions {
        dia_over_insulation_mm: sheet.number("cable.dia_over_insulation").unwrap_or(0.0),
        edge_up: edge_up.map(|f| EdgeUpOption { insulation_min_mm: f[0], clear_surface_min_mm: f[1] }),
        crutch_lower: lower.map(|f| CrutchLowerOption { crutch_height_min_mm: f[0] }),
        crutch_outside: outside.map(|f| CrutchOutsideOption {
            entry_height_mm: f[0],
            entry_pitch_max_mm: f[1],
            room_below_plate_mm: f[2],
        }),
        entries_moved: moved,
        kits: (!kits.options.is_empty()).then_some(kits.options),
        extension: extension.map(|f| ExtensionOption { extension_max_mm: f[0] }),
    };
    Ok(Offer {
        input: RemedyInput {
            layout,
            options,
            weights: request.ways.weights(),
            most_remedies: request.ways.most_together,
        },
        reasons,
        kits_left_out: kits.left_out,
        techniques: kits.techniques,
    })
}

/// `a`, `b` and `c`, each as a key.
pub(super) fn named(names: &[&str]) -> String {
    let keys: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    match keys.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => keys.join(""),
    }
}

/// The library's other kits, as the search takes them.
struct Kits<'r, 'a> {
    request: &'r Request<'a>,
    options: Vec<KitOption>,
    left_out: Vec<(String, String)>,
    techniques: BTreeMap<String, String>,
}

impl Kits<'_, '_> {
    fn look(&mut self) {
        let Some(present) = self.request.job.text("kit") else { return };
        let mut wanted = self.request.book.facts_judged_by(of_the_kit);
        // Reads the layout, and judges nothing in it.
        wanted.insert("bend_passes_at_depth".to_string());
        for code in self.request.library.codes(Shelf::Kits).into_iter().filter(|code| *code != present) {
            match self.kit(&code, &wanted) {
                Ok((kit, technique)) => {
                    self.techniques.insert(code, technique);
                    self.options.push(kit);
                }
                Err(why) => self.left_out.push((code, why)),
            }
        }
    }

    fn kit(&self, code: &str, wanted: &BTreeSet<String>) -> Result<(KitOption, String), String> {
        let change = |key: &str, to: Option<&str>| Change {
            key: key.into(),
            to: to.map(Into::into),
            why: String::new(),
        };
        let read = |changes: &[Change]| {
            let text = apply(self.request.text, changes)?;
            let loaded = job::load(self.request.file, text, self.request.library);
            match loaded.job {
                Some(job) if loaded.findings.is_empty() => Ok((job, loaded.sources)),
                _ => {
                    let first = loaded.findings.into_iter().next();
                    let why = first.map_or_else(String::new, |f| format!(": {}", f.message));
                    Err(format!("the job does not read with it{why}"))
                }
            }
        };
        let mut changes = vec![change("layout.insulation_exposed", None), change("kit", Some(code))];
        let (mut job, mut sources) = read(&changes)?;
        // A kit of another technique brings its own kind of work.
        let now = job.text("job.work_type").unwrap_or_default();
        let technique = job.text("kit.technique").unwrap_or_default();
        if let Some(to) = self.request.ways.work_type(&now, &technique).filter(|to| *to != now) {
            changes.push(change("job.work_type", Some(&to)));
            (job, sources) = read(&changes)?;
        }
        let core = self.request.sheet.number("cable.dia_over_insulation").unwrap_or(0.0);
        let bore = match job.get("kit.dia_over_insulation") {
            Some(Value::Range(range)) => [range.low.base(), range.high.base()],
            _ => return Err("it states no range over the insulation".into()),
        };
        if core < bore[0] || core > bore[1] {
            let range = job.text("kit.dia_over_insulation").unwrap_or_default();
            return Err(format!(
                "its range over the insulation is {range}, the core has {}",
                self.request.sheet.text("cable.dia_over_insulation")
            ));
        }
        let figure = |name: &str| figure(&job, name);
        let limits = KitLimits {
            phase_gap_min_mm: figure("kit.phase_gap_least")?,
            earth_gap_min_mm: figure("kit.earth_gap_least")?,
            edge_to_plate_min_mm: figure("kit.edge_to_plate_least")?,
            edge_to_crutch_min_mm: figure("kit.edge_to_crutch_least")?,
        };
        let (nominal, least, clear) = (
            figure("kit.insulation_exposed.nominal")?,
            figure("kit.insulation_exposed.least")?,
            figure("kit.clear_surface_least")?,
        );
        let sheet = facts::sheet_of(&job, wanted);
        if let Some(worse) = speaks_against_kit(self.request, &job, &sheet, &sources) {
            return Err(format!("{}: {}", worse.code, worse.message));
        }
        let layout = sheet.layout().ok_or("its sheet leaves the layout open")?;
        Ok((
            KitOption {
                code: code.to_string(),
                bore_mm: bore,
                insulation_exposed_mm: nominal,
                insulation_min_mm: least,
                clear_surface_min_mm: clear,
                sct_over_insulation_mm: layout.sct_over_insulation_mm,
                sct_over_semicon_mm: layout.sct_over_semicon_mm,
                semicon_left_mm: layout.semicon_left_mm,
                dia: layout.dia,
                limits,
            },
            technique,
        ))
    }
}

fn figure(job: &Job, name: &str) -> Result<f64, String> {
    job.get(name).and_then(Value::number).ok_or_else(|| format!("its sheet does not give `{name}`"))
}
