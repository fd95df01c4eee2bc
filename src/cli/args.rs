//! The command line.

use super::many::Share;
use crate::job::forms;
use crate::language;
use crate::report::wrap;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::fmt::Write;
use std::num::NonZero;
use std::path::PathBuf;

/// Checks and prints job packs for medium-voltage cable work.
#[derive(Debug, Parser)]
#[command(name = "cutback", version, about, max_term_width = 80, after_help = EXAMPLES)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
}

const EXAMPLES: &str = "\
Examples:
  cutback check jobs/demo                   judge every job in a folder
  cutback new term-box-3c-hs --out job.yaml a job file to fill in
  cutback schema > job.schema.json          completion for an editor
  cutback issue job.yaml                    check, then write the pack
  cutback issue --draft job.yaml            print it marked NOT ISSUED
  cutback check --remedies job.yaml         the lightest way out of a tight box
  cutback explain B02                       what a rule means
  cutback explain phase_gap                 how a figure is computed

Exit codes: 0 could be issued or was issued, 1 open findings, 2 trouble with
files or with the tool itself.";

/// Each put off until it is asked for: `new` reads every form for its help.
#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Command {
    /// Judge jobs and print findings with places, margins and remedies
    Check(Check),
    /// Check jobs, then write their packs
    Issue(Issue),
    /// File the photographs of a job by their label cards, list what is missing
    Receive(Receive),
    /// Judge completed records against their packs
    Verify(Verify),
    /// Decide what is to be done with an end as it was found
    Decide(Decide),
    /// Say what a rule, a fact or a code means
    Explain(Explain),
    /// Write a commented job file to fill in
    New(New),
    /// Print the JSON Schema of job and library files, for an editor
    Schema(Schema),
    /// Print what completes commands in a shell
    Complete(Complete),
    /// Print the manual page, or write one for every command
    Manual(Manual),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    Text,
    /// One object a job file, one line each
    Json,
    /// One SARIF 2.1.0 log for all, for editors and code review
    Sarif,
}

// How a long list of files is worked through. No docstring: it would become the words of
// each command that takes it.
#[derive(Clone, Copy, Debug, ClapArgs)]
pub struct Many {
    /// Files worked on at the same time [default: one a core]
    #[arg(long, value_name = "N")]
    pub at_once: Option<NonZero<usize>>,
    /// Take every OF-th file of the list only, from the N-th on: the shares of
    /// one list can be done on machines that know nothing of each other
    #[arg(long, value_name = "N/OF")]
    pub share: Option<Share>,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback check jobs/demo/D-2201-P4.yaml
  cutback check jobs --format json > findings.jsonl
  cutback check jobs --format sarif > findings.sarif
  cutback check --remedies job.yaml
  cutback check --remedies --write changed.yaml job.yaml
  NO_COLOR=1 cutback check jobs/demo")]
pub struct Check {
    /// Job files, or folders of them (folders named `library` are left out)
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// How findings are written
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Search the lightest way out of a box that does not fit
    #[arg(long)]
    pub remedies: bool,
    /// Write the job with that way taken to a new file; the job itself is
    /// never touched, and a file that is there already is left alone
    #[arg(long, value_name = "FILE", requires = "remedies")]
    pub write: Option<PathBuf>,
    /// A house's own weights of the ways out; `cutback explain weights` prints
    /// such a file
    #[arg(long, value_name = "FILE", requires = "remedies")]
    pub weights: Option<PathBuf>,
    /// Library of cables, kits, lugs and boots
    /// [default: nearest folder `library` beside or above the job]
    #[arg(long, value_name = "DIR")]
    pub library: Option<PathBuf>,
    /// Folder of the owner's own rules, cautions, points and wording
    #[arg(long, value_name = "DIR")]
    pub house: Option<PathBuf>,
    #[command(flatten)]
    pub many: Many,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback issue jobs/demo/D-2201-P4.yaml
  cutback issue --draft jobs/demo/D-2201-P1.yaml
  cutback issue --out /srv/packs jobs

Writes issued/JOB/END/REVISION/ with pack.pdf, pack.json, a blank record.yaml
and SHA256SUMS, and a line in issued/register.jsonl. A draft goes to drafts/
and into no register.")]
pub struct Issue {
    /// Job files, or folders of them (folders named `library` are left out)
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Print the pack marked NOT ISSUED on every page, whatever the findings
    #[arg(long)]
    pub draft: bool,
    /// Folder that holds `issued/` and `drafts/` [default: the current one]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Date of the pack where the job gives none, like 2031-04-28
    #[arg(long, value_name = "DATE")]
    pub date: Option<jiff::civil::Date>,
    /// Library of cables, kits, lugs and boots
    /// [default: nearest folder `library` beside or above the job]
    #[arg(long, value_name = "DIR")]
    pub library: Option<PathBuf>,
    /// Folder of the owner's own rules, cautions, points and wording
    #[arg(long, value_name = "DIR")]
    pub house: Option<PathBuf>,
    /// Language of the pages, like `de`; one that is on trial prints drafts only
    #[arg(long, value_name = "TAG", default_value = language::ENGLISH, hide_default_value = true)]
    pub language: String,
    #[command(flatten)]
    pub many: Many,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ReceiveFormat {
    /// For people
    Text,
    /// One object, for machines
    Json,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback receive issued/D-2201/TX2-HV/P4 --photos ~/phone
  cutback receive pack.json --photos phone-a phone-b --frames frames.csv

Copies what shows a label card of the pack into the folder
received/JOB/END/REVISION/photos; originals are never moved or changed, and a
second run adds only what is new.
needed.pdf and needed.txt there are the list for the phone, photos.json what was
read, frames-to-confirm.csv the pictures whose frame a person must name, and
record.yaml, begun or brought up to date, lists them for `verify`.
Exit codes: 0 every frame is there, 1 something is missing or open, 2 trouble.")]
pub struct Receive {
    /// Folder of an issued pack, or its pack.pdf or pack.json
    #[arg(value_name = "PACK")]
    pub pack: PathBuf,
    /// Folders of pictures as they came off the phones
    #[arg(long, required = true, num_args = 1.., value_name = "DIR")]
    pub photos: Vec<PathBuf>,
    /// List of frames a person has looked through (`picture,frame`)
    #[arg(long, value_name = "FILE")]
    pub frames: Option<PathBuf>,
    /// Folder that holds `received/` [default: the current one]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// How the result is written
    #[arg(long, value_enum, default_value = "text")]
    pub format: ReceiveFormat,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback verify record.yaml
  cutback verify record.yaml --pack pack.pdf
  cutback verify records --format json > verdicts.jsonl
  cutback verify record.yaml --table readings.csv
  cutback verify record.yaml --seal --date 2031-05-14

Writes verified/JOB/END/REVISION/verification-….pdf. The pack is found by the
record's own lines: beside it, above it, under issued/; pack.pdf alone is
enough. Exit codes: 0 acceptable, 1 queries, not acceptable or not completed,
2 trouble with files or with the tool itself.")]
pub struct Verify {
    /// Completed records, or folders that hold some (files called `record.yaml`)
    #[arg(required = true, value_name = "RECORD")]
    pub records: Vec<PathBuf>,
    /// The pack: its pack.json, its pack.pdf, or their folder
    #[arg(long, value_name = "PATH")]
    pub pack: Option<PathBuf>,
    /// How findings are written
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Write all readings as a table (CSV)
    #[arg(long, value_name = "FILE")]
    pub table: Option<PathBuf>,
    /// Folder that holds `issued/` and `verified/` [default: the current one]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Seal an acceptable record: a line in the register with the checksums of
    /// pack, record, photographs and report
    #[arg(long)]
    pub seal: bool,
    /// Day of judging and sealing, like 2031-05-14
    #[arg(long, value_name = "DATE")]
    pub date: Option<jiff::civil::Date>,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback decide jobs/demo/I-0518-P1.yaml jobs/demo/found/tube-short.yaml
  cutback decide inspection.yaml found.yaml --write remake.yaml
  cutback new as-found --out found.yaml

Prints keep, keep and watch, remake or redesign with every reason; an answer
that is missing leaves it open. Where the box is the cause, the lightest way
out is searched. Exit codes: 0 keep, or keep and watch; 1 remake, redesign or
not decided; 2 trouble.")]
pub struct Decide {
    /// Job file of the inspection
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// The figures as found
    #[arg(value_name = "FOUND")]
    pub found: PathBuf,
    /// How the decision is written
    #[arg(long, value_enum, default_value = "text")]
    pub format: ReceiveFormat,
    /// Write the job of the new end to a new file, what is not known left open; a
    /// file that is there already is left alone
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Library of cables, kits, lugs and boots
    /// [default: nearest folder `library` beside or above the job]
    #[arg(long, value_name = "DIR")]
    pub library: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback explain B02
  cutback explain tube-short-for-voltage
  cutback explain kit.sct.recovered
  cutback explain phase_gap jobs/demo/D-2201-P4.yaml
  cutback explain weights
  cutback explain all")]
pub struct Explain {
    /// A rule's code or name, a fact's name, `weights` for those of the ways out
    /// of a tight box, or `all` for the list
    #[arg(value_name = "CODE")]
    pub what: String,
    /// A job file: the fact is then shown with its figures in this job
    #[arg(value_name = "JOB")]
    pub job: Option<PathBuf>,
    /// Library of cables, kits, lugs and boots
    /// [default: nearest folder `library` beside or above the job]
    #[arg(long, value_name = "DIR", requires = "job")]
    pub library: Option<PathBuf>,
    /// Folder of the owner's own rules, cautions, points and wording
    #[arg(long, value_name = "DIR")]
    pub house: Option<PathBuf>,
}

/// The kinds that have a form, below its examples.
fn new_help() -> String {
    let mut out = String::from(
        "\
Examples:
  cutback new term-box-3c-hs --out D-2201.yaml
  cutback new term-box-3c-hs | less
  cutback new as-found --out found.yaml
  cutback new kit --out library/kits/ZQ24-3I-240.yaml

Every key comes with what it is, how it is written and who knows it. A key left
empty is not answered: `cutback check` says which of them a rule needs.

Forms:
",
    );
    for (name, about) in forms() {
        for (i, line) in wrap(&about, 60).into_iter().enumerate() {
            let _ = writeln!(out, "  {:16}{line}", if i == 0 { name } else { "" });
        }
    }
    out
}

#[derive(Debug, ClapArgs)]
#[command(after_help = new_help())]
pub struct New {
    /// Form by its name, as listed below: a kind of work, the figures of an
    /// inspection, or an item of the library
    #[arg(value_name = "KIND")]
    pub kind: String,
    /// File to write; one that is there already is left alone
    /// [default: standard output]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Document {
    Job,
    Cable,
    Kit,
    Lug,
    Boots,
    AsFound,
    /// A completed record, by the pack named with --pack
    Record,
    /// `house.yaml` of a house, and its other files
    House,
    HouseGrades,
    HousePoints,
    HouseWords,
    HouseWeights,
    HouseRules,
    HouseHazards,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback schema > job.schema.json
  cutback schema kit > kit.schema.json
  cutback schema record --pack issued/D-2201/TX2-HV/P4 > record.schema.json

An editor with a YAML language server reads it from a file's first line:
  # yaml-language-server: $schema=job.schema.json")]
pub struct Schema {
    /// Kind of file
    #[arg(value_enum, value_name = "FILE", default_value = "job")]
    pub of: Document,
    /// Folder, `pack.json` or `pack.pdf` of the pack whose record it is
    #[arg(long, value_name = "PACK", required_if_eq("of", "record"))]
    pub pack: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback complete bash > ~/.local/share/bash-completion/completions/cutback
  cutback complete fish > ~/.config/fish/completions/cutback.fish")]
pub struct Complete {
    /// The shell
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

#[derive(Debug, ClapArgs)]
#[command(after_help = "\
Examples:
  cutback manual | man -l -
  cutback manual --out ~/.local/share/man/man1")]
pub struct Manual {
    /// Folder for cutback.1, cutback-check.1 and so on
    /// [default: the page of the tool on standard output]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}

#[cfg(test)]
mod tests {
    use super::Args;
    use clap::CommandFactory;

    /// What is broken by hand keeps its lines.
    #[test]
    fn help_fits_the_screen() {
        let mut whole = Args::command();
        // What is put off stands only after this.
        whole.build();
        let mut all: Vec<_> = whole.get_subcommands().cloned().collect();
        assert!(all.iter().any(|c| c.get_after_help().is_some_and(|h| h.to_string().contains("Forms:"))));
        all.push(whole);
        for command in all {
            let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            for line in help.lines() {
                assert!(line.chars().count() <= 80, "{}: {line}", command.get_name());
            }
        }
    }
}
