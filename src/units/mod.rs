//! A number cannot lose its unit.
//!
//! A [`Quantity`] is a number with its dimension, read from one plain scalar
//! (`640 mm`, `125 kV peak`) and shown the way it was written. The job schema
//! is data, so the dimension is checked when a file is read, where the line and
//! column are known, instead of by one Rust type a dimension.

mod parse;
mod pattern;
mod round;
mod style;

pub use parse::UnitError;
pub use round::{Rounding, decimals_that_differ, fixed, whole};
pub use style::Style;

use std::fmt;

/// Two figures of less difference, in base units, are the same.
pub const ALIKE: f64 = 1e-6;

/// What a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    Length,
    Voltage,
    Current,
    Time,
    Temperature,
    Percent,
    Area,
    Capacitance,
    Torque,
    Mass,
    Frequency,
    Angle,
    Speed,
    Resistance,
}

/// One way to write a dimension: its name in a file and its size in base units.
pub(crate) struct Unit {
    pub name: &'static str,
    pub in_base: f64,
}

impl Dimension {
    pub const ALL: [Dimension; 14] = [
        Dimension::Length,
        Dimension::Voltage,
        Dimension::Current,
        Dimension::Time,
        Dimension::Temperature,
        Dimension::Percent,
        Dimension::Area,
        Dimension::Capacitance,
        Dimension::Torque,
        Dimension::Mass,
        Dimension::Frequency,
        Dimension::Angle,
        Dimension::Speed,
        Dimension::Resistance,
    ];

    /// The units a file may use; the first is the base unit.
    pub(crate) fn units(self) -> &'static [Unit] {
        const fn u(name: &'static str, in_base: f64) -> Unit {
            Unit { name, in_base }
        }
        match self {
            Dimension::Length => const { &[u("mm", 1.0), u("cm", 10.0), u("m", 1000.0), u("km", 1e6)] },
            Dimension::Voltage => const { &[u("kV", 1.0), u("V", 0.001)] },
            Dimension::Current => const { &[u("kA", 1.0), u("A", 0.001), u("mA", 1e-6)] },
            Dimension::Time => const { &[u("s", 1.0), u("min", 60.0), u("h", 3600.0)] },
            Dimension::Temperature => const { &[u("C", 1.0)] },
            Dimension::Percent => const { &[u("%", 1.0)] },
            Dimension::Area => const { &[u("mm2", 1.0)] },
            Dimension::Capacitance => const { &[u("uF/km", 1.0), u("nF/km", 0.001)] },
            Dimension::Torque => const { &[u("N.m", 1.0)] },
            Dimension::Mass => const { &[u("kg", 1.0)] },
            Dimension::Frequency => const { &[u("Hz", 1.0)] },
            Dimension::Angle => const { &[u("deg", 1.0)] },
            Dimension::Speed => const { &[u("m/s", 1.0)] },
            Dimension::Resistance => const { &[u("mohm", 1.0), u("ohm", 1000.0), u("Mohm", 1e9)] },
        }
    }

    /// A difference, in the base unit, in the unit of the figures it lies between: the
    /// finer of their two units, with their places, and never nought where there is one.
    /// `-60.0 V` between `125.0 V` and `65 V`, `-720 mm` between `2 m` and `2720 mm`.
    pub fn difference(self, base: f64, figures: [&str; 2]) -> String {
        let parts = figures.map(|figure| self.parts(figure));
        let base_unit = &self.units()[0];
        let finer = parts.iter().flatten().map(|(unit, _)| *unit);
        let unit = finer.min_by(|a, b| a.in_base.total_cmp(&b.in_base)).unwrap_or(base_unit);
        let places = parts.iter().flatten().map(|(own, decimals)| {
            let finer_by = (own.in_base / unit.in_base).log10().round();
            (*decimals as f64 - finer_by).max(0.0) as usize
        });
        let places = places.max().unwrap_or(0);
        if base.abs() < ALIKE {
            return format!("{} {}", fixed(0.0, places, Rounding::Nearest), unit.name);
        }
        let number = base / unit.in_base;
        let sign = if number > 0.0 { "+" } else { "" };
        let places = decimals_that_differ(number, 0.0, places);
        format!("{sign}{} {}", fixed(number, places, Rounding::Nearest), unit.name)
    }

    /// Size of the unit of a printed figure, in base units.
    pub fn size_in(self, figure: &str) -> f64 {
        self.parts(figure).map_or(1.0, |(unit, _)| unit.in_base)
    }

    /// Unit and decimal places of a printed figure, `about 1.2 m` or `36 kV rms`.
    fn parts(self, figure: &str) -> Option<(&'static Unit, usize)> {
        let words = || figure.split(' ');
        let unit = self.units().iter().find(|unit| words().any(|word| word == unit.name))?;
        let number = words().find(|word| word.parse::<f64>().is_ok())?;
        Some((unit, number.split_once('.').map_or(0, |(_, places)| places.len())))
    }

    /// The dimension with its article, for messages: "a length".
    pub fn article(self) -> &'static str {
        match self {
            Dimension::Length => "a length",
            Dimension::Voltage => "a voltage",
            Dimension::Current => "a current",
            Dimension::Time => "a time",
            Dimension::Temperature => "a temperature",
            Dimension::Percent => "a percentage",
            Dimension::Area => "a cross-section",
            Dimension::Capacitance => "a capacitance per length",
            Dimension::Torque => "a torque",
            Dimension::Mass => "a mass",
            Dimension::Frequency => "a frequency",
            Dimension::Angle => "an angle",
            Dimension::Speed => "a speed",
            Dimension::Resistance => "a resistance",
        }
    }

    /// Whether a figure may lie below nought.
    pub fn may_be_negative(self) -> bool {
        matches!(self, Dimension::Temperature | Dimension::Angle)
    }

    /// How one is written, for messages.
    pub fn example(self) -> &'static str {
        match self {
            Dimension::Length => "640 mm",
            Dimension::Voltage => "22 kV",
            Dimension::Current => "16 kA",
            Dimension::Time => "60 min",
            Dimension::Temperature => "19 C",
            Dimension::Percent => "85 %",
            Dimension::Area => "185 mm2",
            Dimension::Capacitance => "0.27 uF/km",
            Dimension::Torque => "60 N.m",
            Dimension::Mass => "18 kg",
            Dimension::Frequency => "50 Hz",
            Dimension::Angle => "30 deg",
            Dimension::Speed => "10 m/s",
            Dimension::Resistance => "50 mohm",
        }
    }
}

/// Whether an alternating voltage is stated as its r.m.s. or its peak value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nature {
    Unstated,
    Rms,
    Peak,
}

/// A number with its unit, remembered as it was written.
#[derive(Clone, Copy, PartialEq)]
pub struct Quantity {
    dimension: Dimension,
    base: f64,
    unit: &'static str,
    decimals: usize,
    nature: Nature,
}

impl Quantity {
    fn new(dimension: Dimension, base: f64, unit: &'static str, decimals: usize) -> Self {
        // Adding zero turns -0 into 0.
        Quantity { dimension, base: base + 0.0, unit, decimals, nature: Nature::Unstated }
    }

    /// `base` in the base unit of `dimension`, shown with `decimals` places.
    pub fn of(dimension: Dimension, base: f64, decimals: usize) -> Self {
        Self::new(dimension, base, dimension.units()[0].name, decimals)
    }

    /// A length in millimetres, shown with `decimals` places.
    pub fn mm(value: f64, decimals: usize) -> Self {
        Self::new(Dimension::Length, value, "mm", decimals)
    }

    /// A voltage in kilovolts, shown with `decimals` places.
    pub fn kv(value: f64, decimals: usize) -> Self {
        Self::new(Dimension::Voltage, value, "kV", decimals)
    }

    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    pub fn nature(&self) -> Nature {
        self.nature
    }

    /// The number in the base unit of its dimension: mm, kV, kA, s, C, %, mm2,
    /// uF/km, N.m, kg, Hz, deg, m/s, mohm.
    pub fn base(&self) -> f64 {
        self.base
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.dimension.units().iter().find(|u| u.name == self.unit).map_or(1.0, |u| u.in_base);
        let number = fixed(self.base / size, self.decimals, Rounding::Nearest);
        write!(f, "{number} {}", self.unit)?;
        match self.nature {
            Nature::Unstated => Ok(()),
            Nature::Rms => f.write_str(" rms"),
            Nature::Peak => f.write_str(" peak"),
        }
    }
}

impl fmt::Debug for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// Two quantities of one dimension, the lower first: `24.0 to 34.0 mm`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    pub low: Quantity,
    pub high: Quantity,
}

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let low = self.low.to_string();
        match low.strip_suffix(&format!(" {}", self.high.unit)) {
            Some(number) => write!(f, "{number} to {}", self.high),
            None => write!(f, "{low} to {}", self.high),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Dimension::{Length, Voltage};

    #[test]
    fn a_difference_has_the_unit_of_its_figures() {
        assert_eq!(Voltage.difference(0.065 - 0.125, ["125.0 V", "65 V"]), "-60.0 V");
        assert_eq!(Voltage.difference(0.065 - 0.0906, ["90.6 V", "65 V"]), "-25.6 V");
        assert_eq!(Voltage.difference(30.0 - 36.0, ["36 kV rms", "30 kV rms"]), "-6 kV");
        assert_eq!(Voltage.difference(12.0 - 20.0, ["20 kV", "12 kV"]), "-8 kV");
        assert_eq!(Length.difference(2000.0 - 2720.0, ["2 m", "2720 mm"]), "-720 mm");
        assert_eq!(Length.difference(1000.0 - 1200.0, ["1.2 m", "1 m"]), "-0.2 m");
        assert_eq!(Length.difference(2.0, ["about 27 mm", "25 mm"]), "+2 mm");
        // Never nought where one lies below the other, and nought where none does.
        assert_eq!(Length.difference(-0.04, ["25.0 mm", "25.0 mm"]), "-0.04 mm");
        assert_eq!(Length.difference(1e-12, ["25.0 mm", "25 mm"]), "0.0 mm");
    }
}
