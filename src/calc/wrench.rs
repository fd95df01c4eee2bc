//! Whether a torque wrench may set a torque.

/// A torque wrench serves from a fifth of its range up. Common practice, no source.
const LEAST_SHARE: f64 = 0.2;
/// Figures that only differ by the way they are computed are equal.
const SLACK_NM: f64 = 1e-9;

/// Whether a wrench of `low` to `high` may set `torque`, all in N.m.
pub fn wrench_serves(torque: f64, low: f64, high: f64) -> bool {
    let least = low.max(LEAST_SHARE * high);
    (least - SLACK_NM..=high + SLACK_NM).contains(&torque)
}

#[cfg(test)]
mod tests {
    use super::wrench_serves;

    #[test]
    fn a_wrench_serves_between_its_ends_and_above_a_fifth() {
        for (torque, low, high, serves) in [
            (30.0, 10.0, 60.0, true),
            (10.0, 10.0, 50.0, true),
            (60.0, 10.0, 60.0, true),
            (9.9, 10.0, 49.0, false),
            (60.1, 10.0, 60.0, false),
            (39.9, 10.0, 200.0, false),
            (40.0, 10.0, 200.0, true),
        ] {
            assert_eq!(wrench_serves(torque, low, high), serves, "{torque} of {low} to {high}");
        }
    }
}
