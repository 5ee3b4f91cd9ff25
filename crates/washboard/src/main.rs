//! Washboard: calibrate semi-active dampers. With no verb the window opens, with a verb no display is touched.

mod bar;
mod bench_file;
mod cli;
mod crash;
mod evidence;
mod in_the_car;
mod logfile;
#[cfg(test)]
mod mutations;
mod place;
mod profile_file;
mod profiles;
mod reading_back;
mod records;
mod report_file;
mod set_info;
mod sink;
mod table;
mod verbs;
mod window;

use clap::Parser;
use std::process::ExitCode;
use verbs::Outcome;

fn main() -> ExitCode {
    crash::install();
    match std::panic::catch_unwind(run) {
        Ok(Ok(Outcome::Done)) => ExitCode::SUCCESS,
        Ok(Ok(Outcome::DoesNotHold)) => ExitCode::from(1),
        Ok(Err(fault)) => {
            sink::say(&format!("washboard: {fault:#}"));
            ExitCode::from(2)
        }
        // The hook has said what happened.
        Err(_) => ExitCode::from(2),
    }
}

fn run() -> anyhow::Result<Outcome> {
    let args = match cli::Cli::try_parse() {
        Ok(args) => args,
        Err(error) if error.use_stderr() => anyhow::bail!(cli::one_sentence(&error)),
        Err(help) => {
            sink::deliver(&help.render().to_string(), None)?;
            return Ok(Outcome::Done);
        }
    };
    match &args.verb {
        Some(verb) => verbs::run(verb),
        None => window::open(args.session.as_deref()),
    }
}
