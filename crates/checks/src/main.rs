//! Writes the page of checks from what the last test run recorded.

use std::io::Write;
use std::process::ExitCode;
use washboard_checks::write_page;

fn main() -> ExitCode {
    // The target folder, or that of this very program.
    let named = std::env::args_os().nth(1).map(std::path::PathBuf::from);
    let own = || std::env::current_exe().ok().and_then(|exe| Some(exe.parent()?.parent()?.to_owned()));
    let Some(target) = named.or_else(own) else { return ExitCode::from(2) };
    match write_page(&target) {
        Ok(page) => {
            let said = format!("{}: {} checks, {} off\n", page.path.display(), page.checks, page.off);
            let _ = std::io::stdout().write_all(said.as_bytes());
            for missing in &page.missing {
                let _ = std::io::stderr().write_all(format!("no check: {missing}\n").as_bytes());
            }
            ExitCode::from(u8::from(page.off > 0 || !page.missing.is_empty()))
        }
        Err(fault) => {
            let said = format!("{}: {fault}; the tests record checks as they run\n", target.join("checks").display());
            let _ = std::io::stderr().write_all(said.as_bytes());
            ExitCode::from(2)
        }
    }
}
