//! Running a verb as `main` does, for tests that see what a script sees.

use footring::terminal::{self, Call};
use std::ffi::OsString;

/// What a verb did.
#[derive(Debug, PartialEq)]
pub(crate) struct Ran {
    /// The exit code of the program.
    pub code: u8,
    /// What it printed.
    pub out: String,
    /// What it said of trouble.
    pub err: String,
}

/// Runs the program's words, its own name left out.
pub(crate) fn run<S: AsRef<str>>(args: &[S]) -> Ran {
    let words = std::iter::once("footring").chain(args.iter().map(AsRef::as_ref)).map(OsString::from);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = match terminal::parse(words) {
        Ok(Call::Verb(verb)) => terminal::run(&verb, &mut out, &mut err).code(),
        Ok(Call::Open(open)) => panic!("this would open a window: {open:?}"),
        Err(told) => {
            let to = if told.use_stderr() { &mut err } else { &mut out };
            to.extend(told.to_string().into_bytes());
            u8::try_from(told.exit_code()).unwrap()
        }
    };
    Ran { code, out: String::from_utf8(out).unwrap(), err: String::from_utf8(err).unwrap() }
}
