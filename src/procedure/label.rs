//! The code on a label card, read back from its photograph.
//!
//! Seven fields apart by `/`, ASCII only:
//! `CB1/job/revision/end/checksum/card/check`. `CB1` is the version; the
//! checksum is the first eight characters of the pack's; the card names stage
//! and phase; the check is two digits, the number that makes the bytes before
//! it, read as one base-256 number with two zeros behind, divisible by 97 (the
//! rule of ISO/IEC 7064, MOD 97-10, from memory).

use super::pack::Pack;

const VERSION: &str = "CB1";

/// The code of one card of `pack`; `checksum` is that of its `pack.json`.
pub fn label_code(pack: &Pack, checksum: &str, card: &str) -> String {
    let short = checksum.get(..8).unwrap_or(checksum);
    let job = &pack.job;
    let body = format!("{VERSION}/{}/{}/{}/{short}/{card}", job.number, job.revision, job.end);
    format!("{body}/{:02}", check(&body))
}

fn check(body: &str) -> u32 {
    let rest = body.bytes().fold(0u32, |rest, byte| (rest * 256 + u32::from(byte)) % 97);
    (98 - rest * 100 % 97) % 97
}

/// Whether a text read from a photograph is a whole code of this version.
pub fn is_whole(code: &str) -> bool {
    let Some((body, digits)) = code.rsplit_once('/') else { return false };
    let fields = body.split('/').count();
    body.starts_with(&format!("{VERSION}/")) && fields == 6 && digits == format!("{:02}", check(body))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misread_character_is_seen() {
        let body = "CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L1";
        let code = format!("{body}/{:02}", check(body));
        assert!(is_whole(&code));
        for (i, c) in body.char_indices() {
            let other = if c == 'X' { 'Y' } else { 'X' };
            let mut wrong = code.clone();
            wrong.replace_range(i..i + c.len_utf8(), &other.to_string());
            assert!(!is_whole(&wrong), "{wrong}");
        }
        // Two neighbours swapped.
        for i in 0..body.len() - 1 {
            let mut bytes = code.clone().into_bytes();
            bytes.swap(i, i + 1);
            let wrong = String::from_utf8(bytes).expect("ASCII");
            assert!(wrong == code || !is_whole(&wrong), "{wrong}");
        }
        assert!(!is_whole("") && !is_whole("CB1/x/12"));
    }
}
