//! Checks against a list of words, as SQLite does them quickly.
//!
//! In a check, SQLite puts the words of `IN` into a table of their own for each row that is written, which takes several
//! times as long as writing the row (own measurement); two words alone it compares. The same words joined by `OR` are
//! compared, however many there are. Tables of a database that an earlier version made keep their lists: they mean the same.

/// Fewest words of a list that SQLite does not simply compare.
const WORDS_MIN: usize = 3;

/// Writes `column IN ('a', 'b', 'c')` as `(column = 'a' OR column = 'b' OR column = 'c')`.
pub(crate) fn lists_as_comparisons(sql: &str) -> String {
    let mut written = String::new();
    let mut rest = sql;
    while let Some(at) = rest.find(" IN ('") {
        let Some(length) = rest[at..].find(')') else { break };
        let end = at + length + 1;
        let start = rest[..at].rfind(|letter: char| !is_of_a_name(letter)).map_or(0, |before| before + 1);
        let column = &rest[start..at];
        let words: Vec<&str> = rest[at + " IN (".len()..end - 1].split(',').map(str::trim).collect();
        written += &rest[..start];
        if column == "NOT" || words.len() < WORDS_MIN {
            written += &rest[start..end];
        } else {
            let equals: Vec<String> = words.iter().map(|word| format!("{column} = {word}")).collect();
            written += &format!("({})", equals.join(" OR "));
        }
        rest = &rest[end..];
    }
    written + rest
}

fn is_of_a_name(letter: char) -> bool {
    letter.is_ascii_alphanumeric() || letter == '_'
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_lists_that_sqlite_does_not_compare_are_rewritten() {
        let lists = "CREATE TABLE t (a TEXT CHECK (a IN ('x', 'y', 'z')), b CHECK (b IN (FALSE, TRUE)), \
             c CHECK (CASE WHEN c IN ('p', 'q') THEN 1 ELSE c NOT IN ('r', 's', 't') END), \
             FOREIGN KEY (a, b) REFERENCES u (a, b))";
        let comparisons = "CREATE TABLE t (a TEXT CHECK ((a = 'x' OR a = 'y' OR a = 'z')), b CHECK (b IN (FALSE, TRUE)), \
             c CHECK (CASE WHEN c IN ('p', 'q') THEN 1 ELSE c NOT IN ('r', 's', 't') END), \
             FOREIGN KEY (a, b) REFERENCES u (a, b))";
        assert_eq!(lists_as_comparisons(lists), comparisons);
        assert_eq!(lists_as_comparisons(comparisons), comparisons);
        assert_eq!(lists_as_comparisons("a IN ('x',\n   'y',\n   'z')"), "(a = 'x' OR a = 'y' OR a = 'z')");
    }
}
