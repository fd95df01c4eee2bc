//! `new`: a commented job file to fill in.

use super::args::New;
use super::{Outcome, complain, say};
use crate::issuing;
use crate::job::{NoForm, fresh};

pub fn run(args: &New) -> Outcome {
    let text = match fresh(args.kind.trim()) {
        Ok(text) => text,
        Err(NoForm::Unknown(message)) => {
            complain(&message);
            return Outcome::Trouble;
        }
        Err(NoForm::Fault(message)) => {
            complain(&format!("fault of the tool, not of the job: {message}"));
            return Outcome::Trouble;
        }
    };
    let Some(path) = &args.out else {
        say(&text);
        return Outcome::Good;
    };
    match issuing::write_new(path, text.as_bytes()) {
        Ok(true) => {
            let then = if args.kind.trim() == "as-found" { "decide JOB" } else { "check" };
            say(&format!("written: {0}\nFill it in, then: cutback {then} {0}\n", path.display()));
            Outcome::Good
        }
        Ok(false) => {
            complain(&format!(
                "{}: there is such a file already, and it was left as it is; give --out another name",
                path.display()
            ));
            Outcome::Trouble
        }
        Err(error) => {
            complain(&error.to_string());
            Outcome::Trouble
        }
    }
}
