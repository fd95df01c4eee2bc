//! The code on a label card, read back from its photograph.
//!
//! Seven fields apart by `/`, ASCII only:
//! `CB1/job/revision/end/checksum/card/check`. `CB1` is the version; the
//! checksum is the first eight characters of the pack's; the card names stage
//! and phase; the check is two digits, the number that makes the bytes before
//! it, read as one base-256 number with two zeros behind, divisible by 97 (the
//! rule of ISO/IEC 7064, MOD 97-10, from memory). Checksum and card are written in
//! capitals: a QR code packs those closer, and what is saved goes into correction.

use super::pack::Pack;

const VERSION: &str = "CB1";

/// The code of one card of `pack`; `checksum` is that of its `pack.json`.
pub fn label_code(pack: &Pack, checksum: &str, card: &str) -> String {
    let short = checksum.get(..8).unwrap_or(checksum).to_ascii_uppercase();
    let card = card.to_ascii_uppercase();
    let job = &pack.job;
    let body = format!("{VERSION}/{}/{}/{}/{short}/{card}", job.number, job.revision, job.end);
    format!("{body}/{:02}", check(&body))
}

fn check(body: &str) -> u32 {
    let rest = body.bytes().fold(0u32, |rest, byte| (rest * 256 + u32::from(byte)) % 97);
    (98 - rest * 100 % 97) % 97
}

/// What the code of a label card says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    pub job: String,
    pub revision: String,
    pub end: String,
    /// First eight characters of the pack's checksum, in small letters.
    pub checksum: String,
    /// Stage and phase as written: `FILLER-L1`, on earlier cards `filler-L1`.
    pub card: String,
}

/// Reads a text found in a photograph; `None` where it is no whole code of this
/// version, or one character of it is wrong.
pub fn read_label(code: &str) -> Option<Label> {
    let (body, digits) = code.rsplit_once('/')?;
    let fields: Vec<&str> = body.split('/').collect();
    let [version, job, revision, end, checksum, card] = fields[..] else { return None };
    // A shorter checksum would be the beginning of any pack's.
    let eight = checksum.len() == 8 && checksum.bytes().all(|b| b.is_ascii_hexdigit());
    let whole = version == VERSION && eight && code.is_ascii() && digits == format!("{:02}", check(body));
    whole.then(|| Label {
        job: job.into(),
        revision: revision.into(),
        end: end.into(),
        checksum: checksum.to_ascii_lowercase(),
        card: card.into(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misread_character_is_seen() {
        let body = "CB1/D-2201/P4/TX2-HV/644ff8e7/filler-L1";
        let code = format!("{body}/{:02}", check(body));
        assert!(read_label(&code).is_some());
        for (i, c) in body.char_indices() {
            let other = if c == 'X' { 'Y' } else { 'X' };
            let mut wrong = code.clone();
            wrong.replace_range(i..i + c.len_utf8(), &other.to_string());
            assert!(read_label(&wrong).is_none(), "{wrong}");
        }
        // Two neighbours swapped.
        for i in 0..body.len() - 1 {
            let mut bytes = code.clone().into_bytes();
            bytes.swap(i, i + 1);
            let wrong = String::from_utf8(bytes).expect("ASCII");
            assert!(wrong == code || read_label(&wrong).is_none(), "{wrong}");
        }
        assert!(read_label("").is_none() && read_label("CB1/x/12").is_none());
        for checksum in ["644ff8e", "", "644ff8e70", "644ff8eg"] {
            let body = format!("CB1/D-2201/P4/TX2-HV/{checksum}/FILLER-L1");
            assert!(read_label(&format!("{body}/{:02}", check(&body))).is_none(), "{checksum}");
        }
    }
}
