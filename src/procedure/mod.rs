//! The work in order: steps, points, stops, hazards, sheets, drawings; the [`Pack`] as one
//! value that is printed, attached to the PDF, and later verified against.

mod basis;
mod build;
mod closing;
mod cut_out;
mod draw;
mod fault;
mod form;
mod front;
mod hazards;
mod isolation;
mod label;
mod marks;
mod matching;
mod method;
mod names;
mod order;
mod overlay;
mod pack;
mod pages;
mod papers;
mod per_phase;
mod remedy;
mod right_words;
mod sequence;
mod told;
mod window;
mod words;

pub use build::{HouseNote, PackRequest, build};
pub use draw::Shape;
pub use fault::ProcedureFault;
pub use form::{Form, FormDocument, FormFrame, FormPoint, Limit, Reading};
pub use label::{Label, label_code, read_label};
pub use overlay::{ExtraPoint, Overlay};
pub use pack::{Banner, Drawing, FORMAT as PACK_FORMAT, Pack, Run, Segment, Step, StopBanner, StopPoint};
pub use pages::Card;
pub use right_words::RightWords;
pub use sequence::Procedures;
pub use told::{Untold, untold_answers};
