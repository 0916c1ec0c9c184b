//! Reads a paper from a UBL document.
//!
//! The document comes as a row of elements, each checked against the structure of UBL. The paper asks for its fields
//! in the order of the schema; what stands before the element it asks for was not understood. So one element inside the
//! root is held at a time, and each is looked at once.

use std::collections::VecDeque;
use std::io::Read;

use catalogue::Quantity;

use super::document::Document;
use super::element::Element;
use super::fault::{Place, XmlFault, XmlFaultCode as Code, XmlFaults};
use super::namespace::Namespace;
use super::not_understood::Remainder;
use super::sequences::{Child, Sequence, sequence};
use crate::papers::mapping::{FieldSpec, Input, ReadValue};
use crate::papers::value::{BadValue, Beside, Shape, Side, Value, WrongValue};
use crate::papers::{Paper, PaperKind};

/// A paper that was read, and what else its document said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Received<P> {
    /// The paper.
    pub paper: P,
    /// What the document says that the paper has no place for.
    pub not_understood: Remainder,
}

/// Reads a UBL 2.1 document. Memory grows with the paper, within [`super::limits`]; nothing is fetched from anywhere.
///
/// # Errors
///
/// All that is wrong with the document, as far as it could be read, in the order of the text.
pub fn read<P: Paper>(input: impl Read) -> Result<Received<P>, XmlFaults> {
    let mut reader = Reader::open(&P::KIND, input)?;
    reader.header(&P::KIND);
    let mut paper = P::default();
    paper.fill(&mut reader);
    let (not_understood, faults) = reader.finish(paper.line_count());
    if faults.is_empty() { Ok(Received { paper, not_understood }) } else { Err(faults) }
}

/// Where the children of an open element come from.
enum Children {
    /// From the document, one by one.
    Root,
    /// They were read with the element.
    Read(VecDeque<Element>),
    /// The element is not there; where UBL wants it, that is told already.
    Absent { told: bool },
}

/// An element that fields are read from.
struct Frame {
    children: Children,
    sequence: &'static Sequence,
    /// Its name in the paths of fields.
    name: &'static str,
    /// Its path in the document.
    path: String,
    /// Where it begins, or the element around it that is there.
    place: Place,
}

/// What asking for a child gave.
enum Found {
    /// The child.
    Child(Element),
    /// Nothing; `told` where UBL wants the child and its absence is a fault already.
    Nothing { told: bool },
}

struct Reader<R: Read> {
    document: Document<R>,
    ahead: Option<Element>,
    frames: Vec<Frame>,
    /// The frame of the struct that is being filled; those above it belong to paths of its fields.
    base: usize,
    announced_lines: Option<Element>,
    root_path: String,
}

impl<R: Read> Reader<R> {
    fn open(kind: &PaperKind, input: R) -> Result<Self, XmlFaults> {
        let document = Document::open(kind, input)?;
        let root_path = format!("/{}", kind.document);
        let root = Frame {
            children: Children::Root,
            sequence: sequence(kind.document).expect("each kind of paper is in the list of sequences"),
            name: kind.document,
            path: root_path.clone(),
            place: document.root_place,
        };
        Ok(Self { document, ahead: None, frames: vec![root], base: 0, announced_lines: None, root_path })
    }

    /// Reads what stands before the fields of every paper.
    fn header(&mut self, kind: &PaperKind) {
        let known: [(&str, &[&str]); 3] = [
            ("cbc:UBLVersionID", &["2.0", "2.1"]),
            ("cbc:CustomizationID", &[kind.customization]),
            ("cbc:ProfileID", &[kind.profile]),
        ];
        for (name, texts) in known {
            if let Found::Child(element) = self.take(name) {
                if texts.contains(&element.text.trim()) && element.attributes.is_empty() {
                    continue;
                }
                self.set_aside(element);
            }
        }
    }

    fn finish(mut self, lines: usize) -> (Remainder, XmlFaults) {
        self.base = 0;
        while !self.frames.is_empty() {
            self.leave();
        }
        if let Some(element) = self.announced_lines.take() {
            self.check_announced(&element, lines);
        }
        self.document.faults.sort();
        (self.document.not_understood.finish(), self.document.faults)
    }

    fn check_announced(&mut self, element: &Element, lines: usize) {
        let text = element.text.trim();
        let right = i64::try_from(lines).map(Quantity::whole);
        if Quantity::read(text, None).ok() != right.ok() && !self.document.is_broken_off() {
            let wrong = format!("is not the number of lines, which is {lines}");
            let path = format!("{}/{}", self.root_path, element.step);
            let fault =
                XmlFault::new(Code::Contradiction, path, wrong, "send all lines, or the right number");
            self.document.faults.add(fault.at(element.place).with_value(text));
        }
    }

    fn frame(&mut self) -> &mut Frame {
        self.frames.last_mut().expect("the root is open as long as fields are read")
    }

    /// The path in the document of a child that is not there.
    fn path_of(&self, name: &str) -> String {
        format!("{}/{name}", self.frames.last().map_or("", |frame| frame.path.as_str()))
    }

    /// Asks the open element for a child; the children before it were not understood.
    fn take(&mut self, name: &'static str) -> Found {
        let frame = self.frame();
        let (index, child) = child_of(frame.sequence, name);
        loop {
            let (next, told) = match &mut self.frame().children {
                Children::Absent { told } => return Found::Nothing { told: *told },
                Children::Read(children) => (children.pop_front(), child.required),
                Children::Root => {
                    let next = self.ahead.take().or_else(|| self.document.next_child());
                    // Behind a broken end nobody knows what is missing.
                    (next, child.required || self.document.is_broken_off())
                }
            };
            match next {
                Some(element) if element.index < index => self.set_aside(element),
                Some(element) if element.index == index => return Found::Child(element),
                Some(element) => {
                    match &mut self.frame().children {
                        Children::Read(children) => children.push_front(element),
                        Children::Root | Children::Absent { .. } => self.ahead = Some(element),
                    }
                    return Found::Nothing { told };
                }
                None => return Found::Nothing { told },
            }
        }
    }

    /// Keeps an element as not understood.
    fn set_aside(&mut self, element: Element) {
        if self.frames.len() == 1 && element.name == "LineCountNumeric" {
            self.announced_lines = Some(element);
            return;
        }
        let path = self.path_of(&element.step);
        self.document.not_understood.add(path, element.place, element.to_xml());
    }

    /// Opens a child of the open element, there or not.
    fn enter(&mut self, name: &'static str) {
        let (_, child) = child_of(self.frame().sequence, name);
        let found = self.take(name);
        self.open_found(found, name, child);
    }

    fn open_found(&mut self, found: Found, name: &'static str, child: &Child) {
        let frame = match found {
            Found::Child(element) => {
                let sequence = sequence(child.of).expect(LISTED);
                let (path, place) = (self.path_of(&element.step), element.place);
                Frame { children: Children::Read(element.children), sequence, name, path, place }
            }
            Found::Nothing { told } => {
                let sequence = sequence(child.of).expect(LISTED);
                let (path, place) = (self.path_of(name), self.frame().place);
                Frame { children: Children::Absent { told }, sequence, name, path, place }
            }
        };
        self.frames.push(frame);
    }

    /// Closes the open element; what is left in it was not understood.
    fn leave(&mut self) {
        loop {
            let left = match &mut self.frame().children {
                Children::Read(children) => children.pop_front(),
                Children::Root => self.ahead.take().or_else(|| self.document.next_child()),
                Children::Absent { .. } => None,
            };
            match left {
                Some(element) => self.set_aside(element),
                None => break,
            }
        }
        self.frames.pop();
    }

    /// Opens the elements around a field, and closes those that it does not share with the field before.
    fn go_to(&mut self, around: &[&'static str]) {
        let open = self.frames[self.base + 1..].iter();
        let shared = open.zip(around).take_while(|(frame, name)| frame.name == **name).count();
        while self.frames.len() > self.base + 1 + shared {
            self.leave();
        }
        for name in &around[shared..] {
            self.enter(name);
        }
    }

    /// Fills a struct from the element that was opened last.
    fn fill_open(&mut self, fill: &mut dyn FnMut(&mut dyn Input)) {
        let outer = std::mem::replace(&mut self.base, self.frames.len() - 1);
        fill(self);
        while self.frames.len() > self.base {
            self.leave();
        }
        self.base = outer;
    }

    fn read_element(&mut self, mut element: Element, shape: &Shape, read: ReadValue<'_>) {
        let beside = match shape.beside {
            Some(Beside { attribute, .. }) => {
                let place =
                    element.attributes.iter().position(|a| a.name == attribute && a.namespace.is_empty());
                place.map(|place| element.attributes.remove(place))
            }
            None => None,
        };
        let path = self.path_of(&element.step);
        let text = element.text.trim();
        let only = shape.beside.map_or("", |beside| beside.only);
        let stated = beside.as_ref().map(|attribute| attribute.value.trim());
        if !only.is_empty() && stated != Some(only) {
            // Of another scheme, or of none: ours only if it could not be anything else.
            if stated.is_some() || text.is_empty() || read(text, None).is_err() {
                element.attributes.extend(beside);
                self.set_aside(element);
                return;
            }
        } else {
            let result = if text.is_empty() {
                Err(BadValue::missing(shape.wanted))
            } else {
                read(text, stated.filter(|stated| !stated.is_empty()))
            };
            if let Err(bad) = result {
                let attribute = shape.beside.map_or("", |beside| beside.attribute);
                let (path, value) = match bad.side {
                    Side::Text => (path.clone(), text),
                    Side::Beside => (format!("{path}/@{attribute}"), stated.unwrap_or_default()),
                };
                let fault = XmlFault::new(bad.kind.into(), path, bad.wrong, bad.right).at(element.place);
                let is_missing = bad.kind == WrongValue::Missing;
                self.document.faults.add(if is_missing { fault } else { fault.with_value(value) });
            }
        }
        for attribute in element.attributes {
            let path = format!("{path}/@{}", attribute.name);
            self.document.not_understood.add(path, element.place, attribute.value);
        }
    }
}

/// Why a type of the list of sequences is in it.
const LISTED: &str = "the list of sequences names no type that it lacks";

/// The place and rule of a child that a field names.
fn child_of(sequence: &'static Sequence, name: &str) -> (usize, &'static Child) {
    let place = Namespace::split(name).and_then(|(namespace, local)| sequence.index_of(namespace, local));
    let index = place.expect("fields name elements of UBL; the round trip of every paper shows it");
    (index, &sequence.children()[index])
}

/// The names of a path: those around, and the last.
pub(super) fn split_path(path: &'static str) -> (Vec<&'static str>, &'static str) {
    let mut names: Vec<&str> = path.split('/').collect();
    let last = names.pop().unwrap_or_default();
    (names, last)
}

impl<R: Read> Input for Reader<R> {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, read: ReadValue<'_>) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        match self.take(name) {
            Found::Child(element) => self.read_element(element, shape, read),
            Found::Nothing { told: false } if required => {
                let place = self.frame().place;
                let wrong = "is missing, and this service needs it";
                let fault = XmlFault::new(Code::MissingElement, self.path_of(name), wrong, "add the element");
                self.document.faults.add(fault.at(place));
            }
            Found::Nothing { .. } => {}
        }
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, read: ReadValue<'_>) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        while let Found::Child(element) = self.take(name) {
            self.read_element(element, shape, read);
        }
    }

    fn part(&mut self, spec: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input)) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        let (_, child) = child_of(self.frame().sequence, name);
        let found = self.take(name);
        if always || matches!(found, Found::Child(_)) {
            self.open_found(found, name, child);
            self.fill_open(fill);
        }
    }

    fn each(&mut self, spec: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input)) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        let (_, child) = child_of(self.frame().sequence, name);
        loop {
            let found = self.take(name);
            if !matches!(found, Found::Child(_)) {
                break;
            }
            self.open_found(found, name, child);
            self.fill_open(fill);
        }
    }
}
