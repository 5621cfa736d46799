//! The commands, and the one table of what each does.

mod args;
mod commands;
mod demo;
mod digcheck;
mod folder;
mod haul;
mod input;
mod jobfile;
mod level;
mod progress;
mod sheets;

use args::{Cli, Command};
use clap::Parser;
use std::process::ExitCode;

/// How a command ended.
pub(crate) enum Ended {
    /// Done, and every check of the design holds.
    Well,
    /// Done, but a check of the design fails.
    WithFindings,
}

/// Why a command did not do its work.
pub(crate) enum Failure {
    /// The input was refused: the whole text to print.
    Refused(String),
    /// What was typed makes no sense together.
    Usage(String),
    /// Whoever was listening has gone.
    Deaf,
}

impl From<std::io::Error> for Failure {
    fn from(e: std::io::Error) -> Self {
        if e.kind() == std::io::ErrorKind::BrokenPipe { Self::Deaf } else { Self::Refused(format!("error: {e}")) }
    }
}

/// Parses, runs, prints.
pub(crate) fn run() -> ExitCode {
    let cli = Cli::parse();
    if let Some(n) = cli.threads {
        spadework::par::use_threads(usize::from(n));
    }
    let ended = match &cli.command {
        Command::Run(a) => commands::run(a),
        Command::Stakes(a) => commands::stakes(a),
        Command::Volume(a) => commands::volume(a),
        Command::Drain(a) => commands::drain(a),
        Command::Soil(a) => commands::soil(a),
        Command::Tank(a) => commands::tank(a),
        Command::Haul(a) => haul::haul(a),
        Command::Digcheck(a) => digcheck::digcheck(a),
        Command::Plan(a) => commands::plan(a),
        Command::Compare(a) => commands::compare(a),
        Command::Ponds(a) => commands::ponds(a),
        Command::Contours(a) => commands::contours(a),
        Command::Level(a) => level::level(a),
        Command::Check(a) => commands::check(a),
        Command::Schema => commands::schema(),
        Command::New(a) => demo::new(a),
    };
    match ended {
        Ok(Ended::Well) | Err(Failure::Deaf) => ExitCode::SUCCESS,
        Ok(Ended::WithFindings) => ExitCode::from(3),
        Err(Failure::Refused(text)) => {
            eprintln!("{}", text.trim_end());
            ExitCode::from(1)
        }
        Err(Failure::Usage(text)) => {
            eprintln!("error: {text}\n\nFor more, try 'spadework --help'.");
            ExitCode::from(2)
        }
    }
}

/// What was typed, fit to be typed again.
pub(crate) fn command_line() -> String {
    let quoted = |a: String| {
        let plain = !a.is_empty() && a.chars().all(|c| c.is_alphanumeric() || "-_./,:=%+@".contains(c));
        if plain { a } else { format!("\"{}\"", a.replace('\\', "\\\\").replace('"', "\\\"")) }
    };
    let args = std::env::args_os().skip(1).map(|a| quoted(a.to_string_lossy().into_owned()));
    std::iter::once("spadework".to_owned()).chain(args).collect::<Vec<_>>().join(" ")
}
