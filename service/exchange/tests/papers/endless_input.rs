//! Input without an end is refused after no more bytes than the limits allow.

use std::io::{self, Read};

use exchange::papers::{Catalogue, Order};
use exchange::ubl::{XmlFaultCode as Code, limits};
use exchange::{paper_csv, ubl};

/// A start, then one text again and again, counted.
struct Endless {
    start: io::Cursor<Vec<u8>>,
    again: Vec<u8>,
    given: u64,
}

impl Endless {
    fn new(start: &str, again: &str) -> Self {
        let again = again.repeat(1 + (1 << 14) / again.len()).into_bytes();
        Self { start: io::Cursor::new(start.as_bytes().to_vec()), again, given: 0 }
    }
}

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = match self.start.read(buffer)? {
            0 => {
                let count = buffer.len().min(self.again.len());
                buffer[..count].copy_from_slice(&self.again[..count]);
                let turned = count % self.again.len();
                self.again.rotate_left(turned);
                count
            }
            count => count,
        };
        self.given += count as u64;
        Ok(count)
    }
}

const ROOT: &str = "<Catalogue xmlns=\"urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2\" \
    xmlns:cac=\"urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2\" \
    xmlns:ext=\"urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2\" \
    xmlns:cbc=\"urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2\">";

/// How many bytes an endless document gives until it is refused with this code.
fn taken(code: Code, start: &str, again: &str) -> u64 {
    let start = format!("{ROOT}{start}");
    let mut input = Endless::new(&start, again);
    let faults = ubl::read::<Catalogue>(&mut input).unwrap_err();
    assert!(faults.kept().iter().any(|fault| fault.code == code), "{start}{again}: {faults}");
    input.given
}

#[test]
fn endless_pieces_end_at_the_limit_of_a_piece() {
    let limit = limits::PIECE_BYTES_MAX + (1 << 16);
    assert!(taken(Code::TooLarge, "<cbc:ID>", "x") < limit);
    assert!(taken(Code::TooLarge, "<cbc:", "x") < limit);
    assert!(taken(Code::TooLarge, "<cbc:ID", " a=\"1\"") < limit);
    assert!(taken(Code::TooLarge, "<cbc:ID a=\"", "&amp;") < limit);
    assert!(taken(Code::TooLarge, "<!--", "x") < limit);
    assert!(taken(Code::TooLarge, "<?", "x") < limit);
    assert!(taken(Code::TooLarge, "<![CDATA[", "]") < limit);
    assert!(taken(Code::TooLarge, "<!DOCTYPE a [", "<!ENTITY b 'c'>") < limit);
    assert!(taken(Code::TooLarge, "<cbc:ID>&", "x") < limit);
    assert!(taken(Code::TooLarge, "", " \n") < limit);
}

#[test]
fn endless_elements_end_at_their_limits() {
    let limit = limits::DOCUMENT_BYTES_MAX + (1 << 16);
    assert!(taken(Code::TooManyElements, "", "<cbc:Note>a</cbc:Note>") < 1 << 18);
    assert!(taken(Code::TooManyElements, "<ext:UBLExtensions>", "<a/>") < 1 << 18);
    assert!(taken(Code::TooDeep, "<ext:UBLExtensions>", "<a>") < 1 << 16);
    assert!(taken(Code::TooManyLines, "", "<cac:CatalogueLine/>") < 1 << 20);
    assert!(taken(Code::TooLarge, "", "<cbc:Colour>red</cbc:Colour>") < limit);
    assert!(taken(Code::TooLarge, "<cbc:ID>", &format!("{}&amp;<![CDATA[a]]>", "a".repeat(500))) < limit);
}

#[test]
fn endless_sheets_end() {
    let taken = |start: &str, again: &str| {
        let mut input = Endless::new(start, again);
        let faults = paper_csv::read::<Order>("o.csv", &mut input).unwrap_err();
        assert!(!faults.is_empty());
        input.given
    };
    let limit = limits::DOCUMENT_BYTES_MAX + (1 << 17);
    assert!(taken("", "x") < limit);
    assert!(taken("", ",") < limit);
    assert!(taken("", "record,") < limit);
    assert!(taken("record\n", "\"") < limit);
    assert!(taken("record,number\norder,1\n", "line,1\n") < limit);
    assert!(taken("record,number\n", "x,\n") < limit);
    assert!(taken("record\n", "\n") < limit);
}

/// An input that fails.
struct Failing;

impl Read for Failing {
    fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
        Err(io::Error::new(io::ErrorKind::ConnectionReset, "the line went dead"))
    }
}

#[test]
fn an_input_that_breaks_off_is_told() {
    let start = "<?xml version=\"1.0\"?>\n".as_bytes();
    let faults = ubl::read::<Order>(start.chain(Failing)).unwrap_err();
    insta::assert_snapshot!(faults, @"line 2, column 1, /: the document cannot be read to its end: the line went dead; send it again");
    let faults = paper_csv::read::<Order>("o.csv", "record".as_bytes().chain(Failing)).unwrap_err();
    insta::assert_snapshot!(faults.kept()[0], @"o.csv: cannot be read to its end: the line went dead; send it again");
}
