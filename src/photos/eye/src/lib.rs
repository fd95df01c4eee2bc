//! Finds and reads QR codes in photographs, and says how alike two pictures are.
//!
//! Nothing here knows what a code means. The words: a *module* is one square of
//! a code; a *finder* is one of its three corner marks.

mod decode;
mod finder;
mod fit;
mod galois;
mod gray;
mod likeness;
mod mend;
mod read;
mod small;
mod threshold;

pub use decode::{Decoded, NotDecoded, decode, size_of};
pub use gray::Gray;
pub use likeness::{Likeness, likeness};
pub use read::{Beyond, Code, codes};
pub use small::{Small, small};
