//! `complete` and `manual`: what a shell completes and `man` shows, from the same
//! definitions as the command line.

use super::args::{Args, Complete, Manual};
use super::{Outcome, complain, say};
use clap::CommandFactory;
use std::path::Path;

pub fn complete(args: &Complete) -> Outcome {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), "cutback", &mut script);
    say(&String::from_utf8_lossy(&script));
    Outcome::Good
}

pub fn run(args: &Manual) -> Outcome {
    let made = match &args.out {
        None => page(),
        Some(folder) => pages(folder),
    };
    match made {
        Ok(text) => {
            say(&text);
            Outcome::Good
        }
        Err(error) => {
            let place = args.out.as_ref().map_or(String::new(), |folder| format!("{}: ", folder.display()));
            complain(&format!("{place}{error}"));
            Outcome::Trouble
        }
    }
}

/// The page of the tool itself.
fn page() -> std::io::Result<String> {
    let mut text = Vec::new();
    clap_mangen::Man::new(Args::command()).render(&mut text)?;
    Ok(String::from_utf8_lossy(&text).into_owned())
}

/// One page for the tool and one for each command.
fn pages(folder: &Path) -> std::io::Result<String> {
    std::fs::create_dir_all(folder)?;
    clap_mangen::generate_to(Args::command(), folder)?;
    Ok(format!("written: the pages of section 1 in {}\n", folder.display()))
}
