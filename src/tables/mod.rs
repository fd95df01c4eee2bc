//! Published values, each table with its standard and edition. Where the text
//! of a standard was not at hand the source says "from memory".

use std::sync::LazyLock;

/// Source printed beside every clearance.
pub const CLEARANCE_SOURCE: &str = "IEC 61936-1:2021 range I (from memory)";
/// Source of the altitude factor.
pub const ALTITUDE_SOURCE: &str = "IEC 62271-1:2017 altitude factor (public article)";
/// Source of the least U0.
pub const LEAST_U0_SOURCE: &str = "IEC 60502-2:2014 (from memory)";

/// Source of the distances of approach.
pub const APPROACH_SOURCE: &str = "EN 50110-1:2013, vicinity zone (public reproduction); owner's rule first";

/// Outer limit of the vicinity zone, mm, by nominal voltage in kV, straight
/// between rows; nothing above the table. [`APPROACH_SOURCE`].
pub fn approach_mm(kv: f64) -> Option<f64> {
    let table = rows(include_str!("approach_en50110.csv"), 2);
    let (first, above) = (table.first()?, table.iter().position(|r| r[0] >= kv - 1e-9)?);
    if above == 0 {
        return Some(first[1]);
    }
    let (low, high) = (&table[above - 1], &table[above]);
    Some(low[1] + (high[1] - low[1]) * (kv - low[0]) / (high[0] - low[0]))
}

/// Source of the creepage classes.
pub const CREEPAGE_SOURCE: &str = "IEC TS 60815-1:2008 (class a from memory)";

/// Unified specific creepage distance by class, mm per kV of Um/sqrt(3).
/// [`CREEPAGE_SOURCE`].
pub const CREEPAGE: &[(&str, f64)] = &[("a", 22.0), ("b", 27.8), ("c", 34.7), ("d", 43.3), ("e", 53.7)];

/// Standard lightning impulse levels, kV peak: IEC 60071-1:2019; 200, 250 and
/// 325 from memory.
pub const IMPULSE_LEVELS_KV: &[f64] =
    &[20.0, 40.0, 60.0, 75.0, 95.0, 125.0, 145.0, 170.0, 200.0, 250.0, 325.0];

/// Source of the level of the withstand at very low frequency.
pub const VLF_SOURCE: &str = "3 U0 at 0.1 Hz: HD 620 S3 family (public guide); table: IEEE 400.2-2013 table 3, sinusoidal (public reproduction, 20 to 30 kV partly inferred; the 2024 edition was not seen)";

/// Withstand by cable class, kV phase to phase: r.m.s. and peak for installation,
/// acceptance and maintenance, peaks as tabulated. [`VLF_SOURCE`].
pub static VLF_TABLE: LazyLock<Vec<[f64; 7]>> = LazyLock::new(|| {
    rows(include_str!("vlf_ieee400_2.csv"), 7)
        .into_iter()
        .filter_map(|r| r.get(..7).and_then(|r| r.try_into().ok()))
        .collect()
});

/// Source of the resistance of conductors.
pub const CONDUCTOR_SOURCE: &str =
    "IEC 60228:2004 class 2, greatest at 20 C, plain copper and aluminium (two public reproductions)";

/// Greatest d.c. resistance of a stranded conductor at 20 C, ohm/km, by
/// cross-section in mm2 and metal. [`CONDUCTOR_SOURCE`].
pub fn conductor_ohm_per_km(area_mm2: f64, metal: &str) -> Option<f64> {
    let row = rows(include_str!("conductors_iec60228.csv"), 3).into_iter().find(|r| same(r[0], area_mm2))?;
    match metal {
        "copper" => Some(row[1]),
        "aluminium" => Some(row[2]),
        _ => None,
    }
}

/// The basis used where a cable states no radius, by its name in the table.
pub const BEND_BASIS: &str = "BS 6622/BS 7835 guidance";

/// Source of the radius by multiples of the diameter.
pub const BEND_SOURCE: &str = "BS 6622 guidance, laying (from memory)";

/// One row of bending radii: basis, cable and stage are its key.
#[derive(Clone, Debug, PartialEq)]
pub struct Bending {
    pub basis: String,
    pub cable: String,
    pub stage: String,
    /// Multiple of the outer diameter; `None` where the cell is none.
    pub factor: Option<f64>,
}

/// Rows of bending radii by basis, cable and stage, multiples of the outer
/// diameter; the cells of type-test cylinders are no multiples. Each row is its
/// own basis, and the cable maker's figure outranks all.
pub static BENDING: LazyLock<Vec<Bending>> = LazyLock::new(|| {
    include_str!("bending_radii.csv")
        .lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(';').map(|cell| cell.trim().to_string());
            let (basis, cable, stage) = (cells.next()?, cells.next()?, cells.next()?);
            Some(Bending { basis, cable, stage, factor: cells.next()?.parse().ok() })
        })
        .collect()
});

/// One row of the clearance table: highest voltage, impulse level, clearances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearanceRow {
    pub um_kv: f64,
    pub impulse_kv: f64,
    pub indoor_mm: f64,
    pub outdoor_mm: f64,
}

/// Bare clearances in air, phase to earth and phase to phase alike, up to
/// 1000 m. [`CLEARANCE_SOURCE`].
pub static CLEARANCES: LazyLock<Vec<ClearanceRow>> = LazyLock::new(|| {
    rows(include_str!("clearances_iec61936_1.csv"), 5)
        .into_iter()
        .map(|r| ClearanceRow { um_kv: r[0], impulse_kv: r[2], indoor_mm: r[3], outdoor_mm: r[4] })
        .collect()
});

/// Least rated U0 of cable and accessory for a system: highest voltage and
/// earth-fault category `A`, `B` or `C`, in kV. [`LEAST_U0_SOURCE`].
pub fn least_u0_kv(um_kv: f64, category: &str) -> Option<f64> {
    let table = rows(include_str!("least_u0_iec60502_2.csv"), 2);
    let row = table.iter().find(|r| same(r[0], um_kv))?;
    match category {
        "A" | "B" => row.get(1),
        "C" => row.get(2),
        _ => None,
    }
    .copied()
}

/// Least cover of a stress control tube on the insulation below which a planner
/// asks why, mm by Um. Common practice, no source.
pub fn screening_cover_mm(um_kv: f64) -> Option<f64> {
    rows(include_str!("cover_screening.csv"), 2).iter().find(|r| same(r[0], um_kv)).map(|r| r[1])
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// The leading numbers of each line under the heading; `least` of them must be
/// there. Text columns after the numbers are notes of the table.
fn rows(csv: &str, least: usize) -> Vec<Vec<f64>> {
    csv.lines()
        .skip(1)
        .filter(|line| !line.trim().is_empty())
        .map(|line| {
            let numbers: Vec<f64> = line.split(',').map_while(|cell| cell.trim().parse().ok()).collect();
            assert!(numbers.len() >= least, "a built-in table has a short row: {line}");
            numbers
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_whole_and_climb() {
        assert_eq!(CLEARANCES.len(), 14);
        for pair in CLEARANCES.windows(2) {
            assert!(pair[0].um_kv <= pair[1].um_kv);
            if same(pair[0].um_kv, pair[1].um_kv) {
                assert!(pair[0].impulse_kv < pair[1].impulse_kv && pair[0].indoor_mm <= pair[1].indoor_mm);
            }
        }
        assert_eq!(least_u0_kv(24.0, "A"), Some(12.0));
        assert_eq!(least_u0_kv(24.0, "C"), Some(18.0));
        assert_eq!(least_u0_kv(36.0, "C"), None);
        assert_eq!(screening_cover_mm(24.0), Some(130.0));
        assert_eq!((approach_mm(11.0), approach_mm(33.0)), (Some(1152.0), Some(1350.0)));
        assert_eq!((approach_mm(1.0), approach_mm(66.0)), (Some(1120.0), None));
        assert_eq!(VLF_TABLE.len(), 8);
        assert!(VLF_TABLE.iter().all(|r| (r[2] / r[1] - 1.414).abs() < 0.06), "peak over r.m.s.");
        assert_eq!(conductor_ohm_per_km(240.0, "copper"), Some(0.0754));
        assert_eq!(conductor_ohm_per_km(240.0, "aluminium"), Some(0.125));
        assert_eq!(conductor_ohm_per_km(200.0, "copper"), None);
        assert_eq!(BENDING.len(), 25);
        assert_eq!(BENDING.iter().filter(|row| row.factor.is_none()).count(), 2);
    }
}
