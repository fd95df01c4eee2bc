//! Arguments in, text and exit code out. The only room that prints, reads the
//! clock or looks at the environment.

mod across;
mod args;
mod check;
mod decide;
mod explain;
mod find_pack;
mod finish;
mod glyphs;
mod issue;
mod language;
mod manual;
mod many;
mod new;
mod paths;
mod progress;
mod receive;
mod remedies;
mod sarif;
mod schema;
mod verify;

pub use check::{Judged, judge as judge_text};
pub use find_pack::opened;

use args::{Args, Command};
use clap::Parser;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a command came to, by decision: 0 done or could be issued, 1 open
/// findings or a text that is no job, 2 the world or the tool is at fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    Good = 0,
    Findings = 1,
    Trouble = 2,
}

/// Runs the command line and returns its exit code.
pub fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => {
            let _ = error.print();
            // clap's own: help and version are no error.
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let outcome = match args.command {
        Command::Check(check) => check::run(&check),
        Command::Issue(issue) => issue::run(&issue),
        Command::Receive(receive) => receive::run(&receive),
        Command::Verify(verify) => verify::run(&verify),
        Command::Decide(decide) => decide::run(&decide),
        Command::Explain(explain) => explain::run(&explain),
        Command::New(new) => new::run(&new),
        Command::Schema(schema) => schema::run(&schema),
        Command::Complete(complete) => manual::complete(&complete),
        Command::Manual(manual) => manual::run(&manual),
    };
    let outcome = if UNSAID.load(Ordering::Relaxed) { Outcome::Trouble } else { outcome };
    ExitCode::from(outcome as u8)
}

/// A line about trouble, on standard error.
#[allow(clippy::print_stderr)]
fn complain(message: &str) {
    eprintln!("cutback: {message}");
}

/// Whether results were lost on their way out.
static UNSAID: AtomicBool = AtomicBool::new(false);

/// Results, on standard output. A closed pipe is no error; a full disk is.
fn say(text: &str) {
    use std::io::{ErrorKind, Write};
    let mut out = std::io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    if let Err(error) = written
        && error.kind() != ErrorKind::BrokenPipe
        && !UNSAID.swap(true, Ordering::Relaxed)
    {
        complain(&format!("the results can't be written: {error}"));
    }
}
