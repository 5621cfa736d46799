//! The `spadework` program: reads what the person typed, opens files, calls the library, prints, and says by its exit code how it went.
//!
//! 0 all checks hold; 3 done, but a check of the design fails; 1 input refused, nothing written; 2 usage.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
