//! Words of the geometric rules J14, J15, J16 and J19.

use serde::{Deserialize, Serialize, Serializer};

/// Slack allowed when a gap or height is held against its limit, mm. A figure
/// that equals its limit passes whatever the last bit of the sum says.
pub const SLACK_MM: f64 = 1e-6;

/// What a rule says about a layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    Pass,
    /// J15: somebody has to accept the figure, and a trial fit is witnessed.
    AcceptTrialFit,
    /// J19: bent over a former at site, on the cable maker's word.
    AcceptFormer,
    Block,
}

impl Verdict {
    /// The word in files and findings.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::AcceptTrialFit => "accept-trial-fit",
            Self::AcceptFormer => "accept-former",
            Self::Block => "block",
        }
    }

    /// 0 pass, 1 acceptance, 2 block: for comparing how bad two verdicts are.
    pub fn rank(self) -> u8 {
        match self {
            Self::Pass => 0,
            Self::AcceptTrialFit | Self::AcceptFormer => 1,
            Self::Block => 2,
        }
    }
}

impl Serialize for Verdict {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self.as_str())
    }
}

/// Whether `actual` reaches `limit`, with the slack of this page.
pub(super) fn reaches(actual: f64, limit: f64) -> bool {
    actual >= limit - SLACK_MM
}
