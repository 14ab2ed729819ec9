//! Rust and RON cut into words, signs, texts and what stands in brackets: as much of a language as is needed to find the texts in it.

/// A piece of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Token {
    /// Its line, from 1.
    pub(crate) line: usize,
    /// What it is.
    pub(crate) what: What,
}

/// What a piece of a file is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum What {
    /// A name, a word of the language, or a number.
    Word(String),
    /// A text, as the compiler reads it.
    Text(String),
    /// Any other sign.
    Sign(char),
    /// What stands in brackets, with the one that opens them.
    Group(char, Vec<Token>),
}

/// The pieces of a file; comments are left out.
pub(crate) fn of(text: &str) -> Vec<Token> {
    let mut reader = Reader { chars: text.chars().collect(), at: 0, line: 1 };
    reader.all()
}

struct Reader {
    chars: Vec<char>,
    at: usize,
    line: usize,
}

impl Reader {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn next(&mut self) -> Option<char> {
        let c = self.peek(0)?;
        self.at += 1;
        if c == '\n' {
            self.line += 1;
        }
        Some(c)
    }

    fn all(&mut self) -> Vec<Token> {
        let mut found = Vec::new();
        while let Some(c) = self.peek(0) {
            let line = self.line;
            let what = match c {
                ')' | ']' | '}' => {
                    self.next();
                    return found;
                }
                '(' | '[' | '{' => {
                    self.next();
                    What::Group(c, self.all())
                }
                '/' if self.peek(1) == Some('/') => {
                    while self.peek(0).is_some_and(|c| c != '\n') {
                        self.next();
                    }
                    continue;
                }
                '/' if self.peek(1) == Some('*') => {
                    self.comment();
                    continue;
                }
                '"' => What::Text(self.text()),
                '\'' => match self.one_char() {
                    Some(sign) => What::Sign(sign),
                    None => continue,
                },
                'r' | 'b' | 'c' if self.is_raw() => What::Text(self.raw()),
                _ if c.is_alphanumeric() || c == '_' => {
                    let mut word = String::new();
                    while let Some(c) = self.peek(0).filter(|c| c.is_alphanumeric() || *c == '_') {
                        word.push(c);
                        self.next();
                    }
                    What::Word(word)
                }
                _ => {
                    self.next();
                    if c.is_whitespace() {
                        continue;
                    }
                    What::Sign(c)
                }
            };
            found.push(Token { line, what });
        }
        found
    }

    fn comment(&mut self) {
        let mut depth = 0;
        loop {
            match (self.peek(0), self.peek(1)) {
                (Some('/'), Some('*')) => depth += 1,
                (Some('*'), Some('/')) => depth -= 1,
                (Some(_), _) => {
                    self.next();
                    continue;
                }
                (None, _) => return,
            }
            self.next();
            self.next();
            if depth == 0 {
                return;
            }
        }
    }

    /// A character, which tells nothing here; or none for the name of a lifetime.
    fn one_char(&mut self) -> Option<char> {
        self.next();
        let is_char = self.peek(0) == Some('\\') || self.peek(1) == Some('\'');
        if !is_char {
            return None;
        }
        if self.next() == Some('\\') {
            self.next();
        }
        while self.next().is_some_and(|c| c != '\'') {}
        Some('\'')
    }

    fn text(&mut self) -> String {
        let mut text = String::new();
        self.next();
        while let Some(c) = self.next() {
            match c {
                '"' => break,
                '\\' => self.escaped(&mut text),
                _ => text.push(c),
            }
        }
        text
    }

    fn escaped(&mut self, text: &mut String) {
        match self.next() {
            Some('n') => text.push('\n'),
            Some('t') => text.push('\t'),
            Some('r') => text.push('\r'),
            Some('\n') => {
                while self.peek(0).is_some_and(char::is_whitespace) {
                    self.next();
                }
            }
            Some('u') => {
                let mut code = String::new();
                while let Some(c) = self.next().filter(|c| *c != '}') {
                    code.extend(Some(c).filter(char::is_ascii_hexdigit));
                }
                text.extend(u32::from_str_radix(&code, 16).ok().and_then(char::from_u32));
            }
            Some(other) => text.push(other),
            None => {}
        }
    }

    /// True where a raw text starts, or one of bytes.
    fn is_raw(&self) -> bool {
        let start = match (self.peek(0), self.peek(1)) {
            (Some('r'), _) => 1,
            (Some('b' | 'c'), Some('r')) => 2,
            _ => return false,
        };
        let hashes = (start..self.chars.len()).take_while(|ahead| self.peek(*ahead) == Some('#')).count();
        self.peek(start + hashes) == Some('"')
    }

    fn raw(&mut self) -> String {
        while self.peek(0).is_some_and(|c| c != '#' && c != '"') {
            self.next();
        }
        let mut hashes = 0;
        while self.peek(0) == Some('#') {
            hashes += 1;
            self.next();
        }
        self.next();
        let mut text = String::new();
        while let Some(c) = self.next() {
            if c == '"' && (0..hashes).all(|ahead| self.peek(ahead) == Some('#')) {
                self.at += hashes;
                break;
            }
            text.push(c);
        }
        text
    }
}
