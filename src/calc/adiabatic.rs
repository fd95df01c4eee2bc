//! Short-circuit rating of a conductor, screen, armour or earth lead without
//! loss of heat, IEC 60949:1988. The correction for heat lost is left out,
//! which is on the safe side. A rating says nothing of the joint, clamp or lug
//! in the path.

use super::number::{SLACK, above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Longest duration, s.
const LONGEST_S: f64 = 5.0;

/// Heating constants of a metal: `K` in A s^0.5/mm2 and `b` in K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    pub k: f64,
    pub b: f64,
}

/// Published constants of IEC 60949; those of lead and steel are not confirmed
/// by a second text.
pub const HEATING_COPPER: Heating = Heating { k: 226.0, b: 234.5 };
pub const HEATING_ALUMINIUM: Heating = Heating { k: 148.0, b: 228.0 };
pub const HEATING_LEAD: Heating = Heating { k: 41.0, b: 230.0 };
pub const HEATING_STEEL: Heating = Heating { k: 78.0, b: 202.0 };

/// The figure that is sought; every other one is then given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AdiabaticSought {
    /// Only the factor of the metal between the two temperatures.
    K,
    I,
    Area,
    Time,
    ThetaF,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct AdiabaticInput {
    pub solve: AdiabaticSought,
    /// `copper`, `aluminium`, `lead` or `steel`.
    pub material: String,
    /// Temperature at the start, C; printed beside the result.
    pub theta_i_c: f64,
    /// Final temperature, C; not given where it is sought.
    #[serde(default)]
    pub theta_f_c: Option<f64>,
    /// Least limit of metal, joint, covering and neighbours, C (IEC 60986).
    pub theta_limit_c: f64,
    #[serde(default)]
    pub area_mm2: Option<f64>,
    #[serde(default)]
    pub time_s: Option<f64>,
    /// Current, kA r.m.s.
    #[serde(default)]
    pub i_ka: Option<f64>,
}

/// The factor, and the one figure that was sought.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Adiabatic {
    /// A s^0.5/mm2; `None` where the final temperature is sought.
    pub k: Option<f64>,
    pub i_ka: Option<f64>,
    pub area_mm2: Option<f64>,
    pub time_s: Option<f64>,
    pub theta_f_c: Option<f64>,
}

/// Constants of a metal by name, `None` for a name not known here.
pub fn heating_of(material: &str) -> Option<Heating> {
    match material {
        "copper" => Some(HEATING_COPPER),
        "aluminium" => Some(HEATING_ALUMINIUM),
        "lead" => Some(HEATING_LEAD),
        "steel" => Some(HEATING_STEEL),
        _ => None,
    }
}

/// `k = K sqrt(ln((Tf+b)/(Ti+b)))` and `I = k S/sqrt t`, solved for the figure
/// sought. Refuses, in this order: a metal not known, a final temperature that
/// is not above the start or is above its limit, a duration outside 0 to 5 s,
/// an area or current not above zero, a figure missing; then a duration or a
/// final temperature found beyond those same limits.
pub fn adiabatic(i: &AdiabaticInput) -> Result<Adiabatic, Refusal> {
    use AdiabaticSought as Sought;
    let metal = heating_of(&i.material).ok_or(Refusal::MaterialUnknown)?;
    let from = i.theta_i_c + metal.b;
    if !above_zero(from) {
        return Err(Refusal::FigureOutOfRange("temperature at the start"));
    }
    if !i.theta_limit_c.is_finite() {
        return Err(Refusal::FigureOutOfRange("limit of the final temperature"));
    }
    let k = if i.solve == Sought::ThetaF { None } else { Some(factor(metal, i)?) };
    let refused = |v: Option<f64>, most: f64| v.is_some_and(|v| !above_zero(v) || v > most + SLACK);
    if refused(i.time_s, LONGEST_S) {
        return Err(Refusal::TimeRange);
    }
    if refused(i.area_mm2, f64::INFINITY) {
        return Err(Refusal::AreaRange);
    }
    if refused(i.i_ka, f64::INFINITY) {
        return Err(Refusal::CurrentRange);
    }
    let area = || i.area_mm2.ok_or(Refusal::FigureMissing("cross-section"));
    let time = || i.time_s.ok_or(Refusal::FigureMissing("duration"));
    let amperes = || i.i_ka.map(|ka| ka * 1e3).ok_or(Refusal::FigureMissing("current"));
    let factor = k.unwrap_or(metal.k);
    let mut out = Adiabatic { k, ..Adiabatic::default() };
    let found = match i.solve {
        Sought::K => factor,
        Sought::I => *out.i_ka.insert(factor * area()? / time()?.sqrt() / 1e3),
        Sought::Area => *out.area_mm2.insert(amperes()? * time()?.sqrt() / factor),
        Sought::Time => {
            let root = factor * area()? / amperes()?;
            let t = root * root;
            if t.is_nan() || t > LONGEST_S + SLACK {
                return Err(Refusal::TimeRange);
            }
            *out.time_s.insert(t)
        }
        Sought::ThetaF => {
            let density = amperes()? / (factor * area()?);
            let end = from * libm::exp(density * density * time()?) - metal.b;
            if end.is_nan() || end > i.theta_limit_c + SLACK {
                return Err(Refusal::FinalAboveLimit);
            }
            *out.theta_f_c.insert(end)
        }
    };
    finite(&[found])?;
    Ok(out)
}

/// The factor between start and final temperature of a checked start.
fn factor(metal: Heating, i: &AdiabaticInput) -> Result<f64, Refusal> {
    let end = i.theta_f_c.ok_or(Refusal::FigureMissing("final temperature"))?;
    if !end.is_finite() {
        return Err(Refusal::FigureOutOfRange("final temperature"));
    }
    if end <= i.theta_i_c {
        return Err(Refusal::NotRising);
    }
    if end > i.theta_limit_c + SLACK {
        return Err(Refusal::FinalAboveLimit);
    }
    Ok(metal.k * libm::log((end + metal.b) / (i.theta_i_c + metal.b)).sqrt())
}
