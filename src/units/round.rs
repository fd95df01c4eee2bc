//! The one place where a number loses digits, always by a named rule.

/// Which way a printed figure may move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// To nearest, half away from zero.
    Nearest,
    /// A need: print never hides a shortfall.
    Up,
    /// A have: print never adds to what is there.
    Down,
}

/// Binary noise of a computation that stays far below anything measured.
const NOISE: f64 = 1e-9;

/// `value` with `decimals` places, rounded by the rule.
///
/// Noise of 1e-9 is taken off first, so that 380.0000000001 does not round up
/// to 381.
pub fn fixed(value: f64, decimals: usize, rounding: Rounding) -> String {
    let scale = 10f64.powi(decimals as i32);
    let scaled = value * scale;
    let whole = match rounding {
        Rounding::Nearest => (scaled.abs() + 0.5 + NOISE).floor().copysign(scaled),
        Rounding::Up => (scaled - NOISE).ceil(),
        Rounding::Down => (scaled + NOISE).floor(),
    };
    // Adding zero turns -0 into 0.
    let text = format!("{:.decimals$}", whole / scale + 0.0);
    if text.starts_with('-') && text.chars().all(|c| matches!(c, '-' | '0' | '.')) {
        return text[1..].to_string();
    }
    text
}

/// The same in whole units, to nearest.
pub fn whole(value: f64) -> String {
    fixed(value, 0, Rounding::Nearest)
}

/// Least number of places, from `decimals` up to 6, at which two different
/// figures print differently: a failing figure never looks like its limit.
pub fn decimals_that_differ(a: f64, b: f64, decimals: usize) -> usize {
    (decimals..6).find(|&d| fixed(a, d, Rounding::Nearest) != fixed(b, d, Rounding::Nearest)).unwrap_or(6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_rule_moves_its_own_way() {
        assert_eq!(fixed(372.04, 0, Rounding::Up), "373");
        assert_eq!(fixed(372.96, 0, Rounding::Down), "372");
        assert_eq!(fixed(0.5, 0, Rounding::Nearest), "1");
        assert_eq!(fixed(-0.5, 0, Rounding::Nearest), "-1");
        assert_eq!(fixed(-0.2, 0, Rounding::Nearest), "0");
        assert_eq!(fixed(380.000_000_000_1, 0, Rounding::Up), "380");
        assert_eq!(fixed(24.8, 1, Rounding::Nearest), "24.8");
    }

    #[test]
    fn a_failing_figure_never_prints_as_its_limit() {
        assert_eq!(decimals_that_differ(24.97, 25.0, 1), 2);
        assert_eq!(decimals_that_differ(24.8, 25.0, 1), 1);
        assert_eq!(decimals_that_differ(25.0, 25.0, 1), 6);
    }
}
