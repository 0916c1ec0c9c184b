//! A document as a stream of tags and texts, with everything refused that a paper never needs.
//!
//! The XML library finds the pieces and resolves namespaces. Held here: one root, no document type definition, no
//! entity but the five of XML itself, names and characters as XML 1.0 has them, and the limits of [`super::limits`].

use std::io::Read;

use quick_xml::errors::Error;
use quick_xml::events::{BytesPI, BytesStart, Event};
use quick_xml::name::{PrefixDeclaration, ResolveResult};
use quick_xml::reader::NsReader;

use super::fault::{Place, XmlFaultCode as Code};
use super::limits::{ATTRIBUTES_MAX, DEPTH_MAX, DOCUMENT_BYTES_MAX, PIECE_BYTES_MAX};
use super::markup::{
    Stop, attribute_value, check_declaration, checked_text, has_space_between_attributes, local_name,
    referred, stop, stop_at,
};
use super::placed_input::{Broken, PlacedInput};
use super::xml_text::{forbidden_char, is_xml_name, is_xml_space};

/// An attribute that declares no namespace.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Attribute {
    /// Its namespace; empty: none.
    pub(super) namespace: String,
    /// Its local name.
    pub(super) name: String,
    /// Its value.
    pub(super) value: String,
}

/// A start tag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Tag {
    /// The namespace of the element; empty: none.
    pub(super) namespace: String,
    /// Its local name.
    pub(super) name: String,
    /// Its attributes.
    pub(super) attributes: Vec<Attribute>,
    /// Where it begins.
    pub(super) place: Place,
}

/// A piece of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Piece {
    /// A start tag.
    Start(Tag),
    /// An end tag.
    End,
    /// Text, its references resolved.
    Text(String, Place),
    /// A processing instruction by its target and content.
    Instruction(String, String, Place),
    /// The end of the document.
    Eof,
}

/// Reads the pieces of a document.
pub(super) struct Pieces<R: Read> {
    reader: NsReader<PlacedInput<R>>,
    buffer: Vec<u8>,
    depth: usize,
    root_seen: bool,
    started: bool,
}

const XML_NAMESPACE: &str = "http://www.w3.org/XML/1998/namespace";
const XMLNS_NAMESPACE: &str = "http://www.w3.org/2000/xmlns/";
const ONE_ROOT: &str = "send one document with one root element";
const AS_UTF8: &str = "save the document as UTF-8";
/// Room that is kept for the next piece, in bytes.
const BUFFER_KEPT: usize = 1 << 16;

fn outside_root(place: Place) -> Stop {
    stop(Code::NotWellFormed, "text stands outside the root element", ONE_ROOT, place)
}

impl<R: Read> Pieces<R> {
    pub(super) fn new(input: R) -> Self {
        let mut reader = NsReader::from_reader(PlacedInput::new(input));
        let config = reader.config_mut();
        config.expand_empty_elements = true;
        config.check_comments = true;
        Self { reader, buffer: Vec::new(), depth: 0, root_seen: false, started: false }
    }

    /// Where reading is.
    pub(super) fn place(&mut self) -> Place {
        self.reader.get_mut().place()
    }

    /// The next piece; the fault has no path, which only the caller knows.
    pub(super) fn next(&mut self) -> Result<Piece, Stop> {
        loop {
            if let Some(piece) = self.next_event()? {
                return Ok(piece);
            }
        }
    }

    /// The next piece; `None` for what means nothing, such as a comment.
    fn next_event(&mut self) -> Result<Option<Piece>, Stop> {
        let first = !std::mem::replace(&mut self.started, true);
        if first {
            self.check_encoding()?;
        }
        let input = self.reader.get_mut();
        let place = input.place();
        input.begin_piece();
        self.buffer.clear();
        self.buffer.shrink_to(BUFFER_KEPT);
        let event = match self.reader.read_event_into(&mut self.buffer) {
            Ok(event) => event.into_owned(),
            Err(error) => return Err(self.library_fault(&error, place)),
        };
        let text = |text| checked_text(text, place).map(|text| Some(Piece::Text(text, place)));
        match event {
            Event::Start(tag) | Event::Empty(tag) => {
                self.start(&tag, place).map(|tag| Some(Piece::Start(tag)))
            }
            Event::End(_) => {
                self.depth = self.depth.saturating_sub(1);
                Ok(Some(Piece::End))
            }
            Event::Text(raw) if self.depth == 0 => {
                let raw = raw.into_inner();
                // A byte order mark is no text.
                let raw = if first { raw.strip_prefix('\u{feff}').unwrap_or(&raw) } else { &raw };
                if raw.chars().all(is_xml_space) { Ok(None) } else { Err(outside_root(place)) }
            }
            Event::CData(_) | Event::GeneralRef(_) if self.depth == 0 => Err(outside_root(place)),
            Event::Text(raw) if raw.contains("]]>") => {
                Err(stop(Code::NotWellFormed, "text holds `]]>`", "write `]]&gt;`", place))
            }
            Event::Text(raw) => text(raw.xml10_content().into_owned()),
            Event::CData(raw) => text(raw.xml10_content().into_owned()),
            Event::GeneralRef(reference) => {
                referred(&reference, place).map(|character| Some(Piece::Text(character.into(), place)))
            }
            Event::Comment(comment) => check_comment(&comment.into_inner(), place).map(|()| None),
            Event::Decl(declaration) => check_declaration(&declaration, first, place).map(|()| None),
            Event::PI(instruction) => checked_instruction(&instruction, place).map(Some),
            Event::DocType(_) => {
                let right = "leave `<!DOCTYPE ...>` out; a UBL document has none";
                let wrong = "the document brings a document type definition";
                Err(stop(Code::DocumentTypeDefinition, wrong, right, place))
            }
            Event::Eof => self.end(place).map(Some),
        }
    }

    fn end(&self, place: Place) -> Result<Piece, Stop> {
        if self.depth > 0 {
            let wrong = "the document ends inside an element";
            return Err(stop(Code::NotWellFormed, wrong, "send the whole document", place));
        }
        if !self.root_seen {
            return Err(stop(Code::NotWellFormed, "the document has no root element", ONE_ROOT, place));
        }
        Ok(Piece::Eof)
    }

    /// Refuses what begins like UTF-16 or UTF-32, marked or not.
    fn check_encoding(&mut self) -> Result<(), Stop> {
        let place = self.place();
        let first = match self.reader.get_mut().first_bytes() {
            Ok(bytes) => bytes,
            Err(error) => return Err(unreadable(&error.to_string(), place)),
        };
        let is_wide = matches!(first, [0xff, 0xfe, ..] | [0xfe, 0xff, ..] | [0, _, ..] | [_, 0, ..]);
        if is_wide {
            Err(stop(Code::NotUtf8, "the document is no UTF-8 text", AS_UTF8, place))
        } else {
            Ok(())
        }
    }

    fn start(&mut self, tag: &BytesStart<'_>, place: Place) -> Result<Tag, Stop> {
        if self.depth == 0 && self.root_seen {
            return Err(stop(Code::NotWellFormed, "a second root element begins", ONE_ROOT, place));
        }
        self.root_seen = true;
        self.depth += 1;
        if self.depth > DEPTH_MAX {
            let wrong = format!("elements stand more than {DEPTH_MAX} deep inside one another");
            return Err(stop(Code::TooDeep, &wrong, "nest no deeper than UBL does", place));
        }
        let name = local_name(tag.name(), place)?;
        let namespace = resolved(&self.reader.resolver().resolve_element(tag.name()).0, place)?;
        let attributes = self.attributes(tag, place)?;
        Ok(Tag { namespace, name, attributes, place })
    }

    fn attributes(&self, tag: &BytesStart<'_>, place: Place) -> Result<Vec<Attribute>, Stop> {
        let not_well_formed = |wrong: &str| {
            stop(Code::NotWellFormed, wrong, "write each attribute once, as name=\"value\"", place)
        };
        // Looking for doubles takes time with the square of their number: the number is limited first.
        if tag.attributes().with_checks(false).take(ATTRIBUTES_MAX + 1).count() > ATTRIBUTES_MAX {
            let wrong = format!("an element has more than {ATTRIBUTES_MAX} attributes");
            return Err(stop(Code::TooManyAttributes, &wrong, "write the attributes of UBL only", place));
        }
        if !has_space_between_attributes(tag.attributes_raw()) {
            return Err(not_well_formed("an attribute follows another without a space"));
        }
        let mut found: Vec<Attribute> = Vec::new();
        for attribute in tag.attributes() {
            let attribute = attribute
                .map_err(|error| not_well_formed(&cut(format!("an attribute is no XML: {error}"))))?;
            let value = attribute_value(&attribute.value, place)?;
            if let Some(prefix) = attribute.key.as_namespace_binding() {
                if !is_sound_declaration(&prefix, &value) {
                    return Err(not_well_formed("a namespace is declared as XML does not allow"));
                }
                continue;
            }
            let name = local_name(attribute.key, place)?;
            let namespace = resolved(&self.reader.resolver().resolve_attribute(attribute.key).0, place)?;
            if found.iter().any(|other| other.name == name && other.namespace == namespace) {
                return Err(not_well_formed("an attribute stands twice"));
            }
            found.push(Attribute { namespace, name, value });
        }
        Ok(found)
    }

    /// What a failure of the library, or of the input below it, means.
    fn library_fault(&mut self, error: &Error, begin: Place) -> Stop {
        let input = self.reader.get_mut();
        let at = input.place();
        let sizes = |size: u64| format!("{} MiB", size >> 20);
        match (error, input.broken()) {
            (_, Some(Broken::Document)) => {
                let wrong = format!("the document is larger than {}", sizes(DOCUMENT_BYTES_MAX));
                stop(Code::TooLarge, &wrong, "send several smaller documents", at)
            }
            (_, Some(Broken::Piece)) => {
                let wrong = format!("a tag or text is larger than {}", sizes(PIECE_BYTES_MAX));
                stop(Code::TooLarge, &wrong, "send large attachments another way", begin)
            }
            (Error::Io(error), None) => unreadable(&error.to_string(), at),
            (Error::Encoding(_), None) => {
                stop(Code::NotUtf8, "the document is no UTF-8 text", AS_UTF8, begin)
            }
            (error, None) => {
                let wrong = cut(format!("the document is not well-formed XML: {error}"));
                stop(Code::NotWellFormed, &wrong, "repair the markup", begin)
            }
        }
    }
}

/// An error of the library may repeat a name of any length.
fn cut(text: String) -> String {
    if text.chars().count() <= 200 { text } else { text.chars().take(200).chain(['…']).collect() }
}

fn unreadable(error: &str, place: Place) -> Stop {
    let wrong = cut(format!("the document cannot be read to its end: {error}"));
    stop(Code::Unreadable, &wrong, "send it again", place)
}

fn resolved(namespace: &ResolveResult<'_>, place: Place) -> Result<String, Stop> {
    match namespace {
        ResolveResult::Bound(namespace) => Ok(namespace.0.to_owned()),
        ResolveResult::Unbound => Ok(String::new()),
        ResolveResult::Unknown(prefix) => {
            let right = "declare the namespace of each prefix with xmlns";
            Err(stop_at(prefix, Code::WrongNamespace, "is a prefix without a namespace", right, place))
        }
    }
}

/// Whether a namespace is declared as Namespaces in XML 1.0 allows.
fn is_sound_declaration(prefix: &PrefixDeclaration<'_>, value: &str) -> bool {
    let reserved = value == XML_NAMESPACE || value == XMLNS_NAMESPACE;
    match prefix {
        PrefixDeclaration::Default => !reserved,
        PrefixDeclaration::Named("xml") => value == XML_NAMESPACE,
        PrefixDeclaration::Named(prefix) => {
            let sound = is_xml_name(prefix) && !prefix.contains(':') && *prefix != "xmlns";
            sound && !value.is_empty() && !reserved
        }
    }
}

fn check_comment(comment: &str, place: Place) -> Result<(), Stop> {
    // The library looks for `--` inside, not for a hyphen before the end.
    if comment.ends_with('-') || comment.chars().any(forbidden_char) {
        let wrong = "a comment holds what XML does not allow in one";
        return Err(stop(Code::NotWellFormed, wrong, "leave the comment out", place));
    }
    Ok(())
}

fn checked_instruction(instruction: &BytesPI<'_>, place: Place) -> Result<Piece, Stop> {
    let (target, content) = (instruction.target(), instruction.content());
    let is_sound = is_xml_name(target) && !target.contains(':') && !target.eq_ignore_ascii_case("xml");
    if !is_sound || content.chars().any(forbidden_char) {
        let wrong = "a processing instruction is no XML";
        return Err(stop(Code::NotWellFormed, wrong, "leave it out", place));
    }
    Ok(Piece::Instruction(target.to_owned(), content.trim().to_owned(), place))
}
