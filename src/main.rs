//! Footring: opens the window, or does what a verb asks for.

use footring::terminal::{self, Call, Open, Outcome, say};
use std::io::{stderr, stdout};
use std::process::ExitCode;

fn main() -> ExitCode {
    match terminal::parse(std::env::args_os()) {
        Ok(Call::Open(open)) => window(open).code().into(),
        Ok(Call::Verb(verb)) => terminal::run(&verb, &mut stdout().lock(), &mut stderr().lock()).code().into(),
        Err(told) if told.print().is_ok() => u8::try_from(told.exit_code()).unwrap_or(2).into(),
        Err(_unprinted) => ExitCode::FAILURE,
    }
}

#[cfg(feature = "window")]
fn window(open: Open) -> Outcome {
    use footring::desk::{self, Start};
    let key = match terminal::place(&open) {
        Ok(key) => key,
        Err(sentence) => {
            say(&mut stderr(), &sentence);
            return Outcome::Misuse;
        }
    };
    if let Some(sentence) = terminal::no_display(|name| std::env::var_os(name)) {
        say(&mut stderr(), sentence);
        return Outcome::Problems;
    }
    match desk::run(Start { key, data_dir: open.data_dir, language: open.language, system_language: desk::system_language() }) {
        Ok(()) => Outcome::Well,
        Err(e) => {
            say(&mut stderr(), &e.to_string());
            Outcome::Problems
        }
    }
}

#[cfg(not(feature = "window"))]
fn window(_open: Open) -> Outcome {
    say(&mut stderr(), "this program was built without its window (feature 'window'); footring --help lists the verbs");
    Outcome::Problems
}
