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
            let shown = path.display();
            let then = match args.kind.trim() {
                "as-found" => format!("then: cutback decide JOB {shown}"),
                item @ ("kit" | "lug" | "boots") => format!("then name its code behind `{item}:` in a job"),
                "cable" => "then name its code behind `library:` under `cable:` in a job".into(),
                _ => format!("then: cutback check {shown}"),
            };
            say(&format!("written: {shown}\nFill it in, {then}\n"));
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
