//! The commands that a text in Markdown shows, and what it says they print.

/// A command with what is shown of its output.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Shown {
    /// The command.
    pub(crate) command: String,
    /// What is shown of its output; `...` stands for what is left out.
    pub(crate) output: String,
}

/// The commands in the blocks of kind `console`: a line that starts with `$ `, those that its backslashes join to it, and
/// the output up to the next command.
pub(crate) fn commands(markdown: &str) -> Vec<Shown> {
    let mut found: Vec<Shown> = Vec::new();
    let (mut inside, mut joined) = (false, false);
    for line in markdown.lines() {
        if line.starts_with("```") {
            inside = line == "```console";
            joined = false;
            continue;
        }
        if !inside {
            assert!(!line.starts_with("$ "), "`{line}` stands outside of a block of kind console");
            continue;
        }
        let begun = line.strip_prefix("$ ");
        if let Some(part) = begun.or(joined.then_some(line)) {
            let (part, goes_on) = part.strip_suffix('\\').map_or((part, false), |part| (part, true));
            match found.last_mut().filter(|_| joined) {
                Some(shown) => shown.command.push_str(part),
                None => found.push(Shown { command: part.to_owned(), output: String::new() }),
            }
            joined = goes_on;
        } else {
            let shown = found.last_mut().unwrap_or_else(|| panic!("`{line}` belongs to no command"));
            shown.output.push_str(line);
            shown.output.push('\n');
        }
    }
    found
}

/// The words of a command as a shell splits them: quotes hold together, `#` begins a remark.
pub(crate) fn words(command: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let (mut quote, mut open) = (None, false);
    for character in command.chars() {
        match (quote, character) {
            (Some(sign), character) if sign == character => quote = None,
            (None, '\'' | '"') => {
                quote = Some(character);
                if !open {
                    words.push(String::new());
                }
                open = true;
            }
            (None, '#') if !open => break,
            (None, character) if character.is_whitespace() => open = false,
            (_, character) => {
                if !open {
                    words.push(String::new());
                }
                open = true;
                if let Some(word) = words.last_mut() {
                    word.push(character);
                }
            }
        }
    }
    assert_eq!(quote, None, "`{command}` leaves a quote open");
    words
}

/// Whether the printed is what is shown: the same where nothing is left out, else every piece in order, the first at the
/// start, the last at the end. Nothing shown holds for everything.
pub(crate) fn holds(printed: &str, shown: &str) -> Result<(), String> {
    if shown.trim().is_empty() {
        return Ok(());
    }
    let pieces: Vec<&str> = shown.trim_end_matches('\n').split("...").collect();
    let mut rest = printed.trim_end_matches('\n');
    for (number, piece) in pieces.iter().enumerate() {
        let (first, last) = (number == 0, number + 1 == pieces.len());
        // Beside a cut, blanks and line ends belong to the cut.
        let piece = if first { *piece } else { piece.trim_start() };
        let piece = if last { piece } else { piece.trim_end() };
        let at = if first {
            rest.starts_with(piece).then_some(0)
        } else if last {
            rest.ends_with(piece).then(|| rest.len() - piece.len())
        } else {
            rest.find(piece)
        };
        let at = at.ok_or_else(|| format!("this is not in it, or not there:\n{piece}"))?;
        rest = &rest[at + piece.len()..];
    }
    if rest.is_empty() { Ok(()) } else { Err(format!("this is not shown:\n{rest}")) }
}

/// The text with the id of every trace made the same, as it differs from request to request.
pub(crate) fn with_still_ids(text: &str) -> String {
    let name = "\"trace_id\":\"";
    let mut pieces = text.split(name);
    let mut still = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let end = piece.find('"').unwrap_or_default();
        assert!(piece[..end].len() == 32, "a trace id has 32 digits: {piece}");
        still.push_str(name);
        still.push_str(&piece[end..]);
    }
    still
}
