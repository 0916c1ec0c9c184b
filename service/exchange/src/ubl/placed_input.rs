//! The bytes of a document on their way to the XML library: counted, placed and limited.

use std::io::{self, BufRead, BufReader, Read};

use super::fault::Place;
use super::limits::{DOCUMENT_BYTES_MAX, PIECE_BYTES_MAX};

/// Which limit the bytes broke.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Broken {
    /// The whole document is too large.
    Document,
    /// The piece that began where reading was is too large.
    Piece,
}

/// A buffered reader that knows the line and column it is at.
#[derive(Debug)]
pub(super) struct PlacedInput<R> {
    inner: BufReader<R>,
    place: Place,
    bytes: u64,
    piece_start: u64,
    broken: Option<Broken>,
}

impl<R: Read> PlacedInput<R> {
    pub(super) fn new(input: R) -> Self {
        Self {
            inner: BufReader::with_capacity(1 << 14, input),
            place: Place { line: 1, column: 1 },
            bytes: 0,
            piece_start: 0,
            broken: None,
        }
    }

    /// Where the next byte stands.
    pub(super) fn place(&self) -> Place {
        self.place
    }

    /// Which limit was broken.
    pub(super) fn broken(&self) -> Option<Broken> {
        self.broken
    }

    /// Says that a new piece of markup begins here.
    pub(super) fn begin_piece(&mut self) {
        self.piece_start = self.bytes;
    }

    /// The first bytes of the document, before any was taken.
    pub(super) fn first_bytes(&mut self) -> io::Result<&[u8]> {
        self.inner.fill_buf()
    }
}

impl<R: Read> Read for PlacedInput<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let available = self.fill_buf()?;
        let length = available.len().min(buffer.len());
        buffer[..length].copy_from_slice(&available[..length]);
        self.consume(length);
        Ok(length)
    }
}

impl<R: Read> BufRead for PlacedInput<R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.bytes > DOCUMENT_BYTES_MAX {
            self.broken = Some(Broken::Document);
        } else if self.bytes - self.piece_start > PIECE_BYTES_MAX {
            self.broken = Some(Broken::Piece);
        }
        if self.broken.is_some() {
            return Err(io::Error::other("the document is too large"));
        }
        self.inner.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        for byte in &self.inner.buffer()[..amount] {
            match byte {
                b'\n' => self.place = Place { line: self.place.line + 1, column: 1 },
                // A byte inside a UTF-8 character.
                0x80..=0xbf => {}
                _ => self.place.column += 1,
            }
        }
        self.bytes += amount as u64;
        self.inner.consume(amount);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_are_counted_in_characters() {
        let mut input = PlacedInput::new("äb\nß東".as_bytes());
        let mut text = String::new();
        input.read_to_string(&mut text).unwrap();
        assert_eq!((text.as_str(), input.place()), ("äb\nß東", Place { line: 2, column: 3 }));
    }

    #[test]
    fn an_endless_piece_and_an_endless_document_end() {
        let mut input = PlacedInput::new(io::repeat(b'x'));
        let taken = io::copy(&mut input, &mut io::sink());
        assert!(taken.is_err() && input.broken() == Some(Broken::Piece));
        let mut input = PlacedInput::new(io::repeat(b'x'));
        while input.read(&mut [0; 4096]).is_ok() {
            input.begin_piece();
        }
        assert_eq!(input.broken(), Some(Broken::Document));
        assert!(input.bytes <= DOCUMENT_BYTES_MAX + (1 << 14));
    }
}
