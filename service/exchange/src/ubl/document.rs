//! A document as a row of the elements inside its root, each whole, each checked against the structure of UBL.

use std::io::Read;

use super::child_rules::ChildRules;
use super::element::{Content, Element, name_in_path};
use super::fault::{Place, XmlFault, XmlFaultCode as Code, XmlFaults, shown};
use super::limits::{ELEMENTS_PER_CHILD_MAX, LINES_MAX, REPEATS_MAX};
use super::namespace::{INSTANCE, Namespace};
use super::not_understood::Gathering;
use super::pieces::{Attribute, Piece, Pieces, Tag};
use super::sequences::{Child, Sequence, sequence};
use crate::papers::PaperKind;

/// Attributes that basic components of UBL may have (CCTS core component types and UBL unqualified data types).
const ATTRIBUTES: &[&str] = &[
    "characterSetCode",
    "currencyCodeListVersionID",
    "currencyID",
    "encodingCode",
    "filename",
    "format",
    "languageID",
    "languageLocaleID",
    "listAgencyID",
    "listAgencyName",
    "listID",
    "listName",
    "listSchemeURI",
    "listURI",
    "listVersionID",
    "mimeCode",
    "name",
    "schemeAgencyID",
    "schemeAgencyName",
    "schemeDataURI",
    "schemeID",
    "schemeName",
    "schemeURI",
    "schemeVersionID",
    "unitCode",
    "unitCodeListAgencyID",
    "unitCodeListAgencyName",
    "unitCodeListID",
    "unitCodeListVersionID",
    "uri",
];

/// A document that is being read.
pub(super) struct Document<R: Read> {
    pieces: Pieces<R>,
    path: Vec<String>,
    /// The children of the root so far; none behind its end.
    rules: Option<ChildRules>,
    line: &'static str,
    elements: usize,
    ended: bool,
    fatal: bool,
    /// Where the root begins.
    pub(super) root_place: Place,
    /// What is wrong so far.
    pub(super) faults: XmlFaults,
    /// What was not understood so far.
    pub(super) not_understood: Gathering,
}

/// A fault after which nothing more can be read.
struct Fatal;

const SMALLER: &str = "send several smaller documents";

impl<R: Read> Document<R> {
    /// Reads as far as the root's start tag.
    pub(super) fn open(kind: &PaperKind, input: R) -> Result<Self, XmlFaults> {
        let rules =
            ChildRules::of(sequence(kind.document).expect("each kind of paper is in the list of sequences"));
        let mut document = Self {
            pieces: Pieces::new(input),
            path: Vec::new(),
            rules: Some(rules),
            line: kind.line,
            elements: 0,
            ended: false,
            fatal: false,
            root_place: Place::default(),
            faults: XmlFaults::default(),
            not_understood: Gathering::default(),
        };
        match document.open_root(kind) {
            Ok(()) => Ok(document),
            Err(Fatal) => Err(document.faults),
        }
    }

    fn open_root(&mut self, kind: &PaperKind) -> Result<(), Fatal> {
        let tag = loop {
            match self.next_piece()? {
                Piece::Start(tag) => break tag,
                Piece::Instruction(target, content, place) => self.instruction(&target, content, place),
                // Only white space stands before the root, and the end of the document is a fault there.
                Piece::End | Piece::Text(..) | Piece::Eof => {}
            }
        };
        let wanted = (kind.document, kind.namespace);
        if (tag.name.as_str(), tag.namespace.as_str()) != wanted {
            let other = tag.name != kind.document;
            let code = if other { Code::WrongDocument } else { Code::WrongNamespace };
            let (value, wrong) = if other {
                (&tag.name, "is another document than is read here")
            } else {
                (&tag.namespace, "is not the namespace of this document")
            };
            let right = format!("send a UBL 2 {} of the namespace {}", kind.document, kind.namespace);
            let path = format!("/{}", name_in_path(&tag.namespace, &tag.name));
            return Err(self.stop(XmlFault::new(code, path, wrong, right).at(tag.place).with_value(value)));
        }
        self.root_place = tag.place;
        self.path.push(kind.document.to_owned());
        self.check_attributes(&tag.attributes, false, tag.place);
        Ok(())
    }

    /// The path of where reading is.
    fn path(&self) -> String {
        self.path.iter().map(|step| format!("/{step}")).collect()
    }

    /// The next piece; a fault is noted.
    fn next_piece(&mut self) -> Result<Piece, Fatal> {
        self.pieces.next().map_err(|mut fault| {
            fault.path = if self.path.is_empty() { "/".to_owned() } else { self.path() };
            self.stop(*fault)
        })
    }

    /// Ends reading with a fault.
    fn stop(&mut self, fault: XmlFault) -> Fatal {
        self.faults.add_last(fault);
        self.fatal = true;
        Fatal
    }

    fn fault(
        &mut self,
        code: Code,
        path: String,
        place: Place,
        wrong: impl Into<String>,
        right: impl Into<String>,
    ) {
        self.faults.add(XmlFault::new(code, path, wrong, right).at(place));
    }

    fn instruction(&mut self, target: &str, content: String, place: Place) {
        let path = format!("{}/processing-instruction('{}')", self.path(), shown(target));
        self.not_understood.add(path, place, content);
    }

    /// Whether reading ended before the document did.
    pub(super) fn is_broken_off(&self) -> bool {
        self.fatal
    }

    /// The next element inside the root; those that are out of place are noted as faults and left out.
    pub(super) fn next_child(&mut self) -> Option<Element> {
        while !self.ended && !self.fatal {
            self.elements = 0;
            let Ok(child) = self.next_inside_root() else { return None };
            if child.is_some() {
                return child;
            }
        }
        None
    }

    fn next_inside_root(&mut self) -> Result<Option<Element>, Fatal> {
        match self.next_piece()? {
            Piece::Start(tag) => {
                let Some(mut rules) = self.rules.take() else { return Ok(None) };
                let child = self.child(tag, &mut rules);
                self.rules = Some(rules);
                child
            }
            Piece::Text(text, place) => {
                self.no_text(&text, place);
                Ok(None)
            }
            Piece::Instruction(target, content, place) => {
                self.instruction(&target, content, place);
                Ok(None)
            }
            Piece::End => {
                if let Some(rules) = self.rules.take() {
                    self.check_missing(&rules);
                }
                self.read_behind_root()?;
                Ok(None)
            }
            Piece::Eof => {
                self.ended = true;
                Ok(None)
            }
        }
    }

    /// Only comments and instructions may follow the root; the library sees the rest as faults.
    fn read_behind_root(&mut self) -> Result<(), Fatal> {
        self.path.clear();
        loop {
            match self.next_piece()? {
                Piece::Eof => break,
                Piece::Instruction(target, content, place) => self.instruction(&target, content, place),
                Piece::Start(_) | Piece::End | Piece::Text(..) => {}
            }
        }
        self.ended = true;
        Ok(())
    }

    fn check_missing(&mut self, rules: &ChildRules) {
        let place = self.pieces.place();
        for child in rules.missing() {
            let path = format!("{}/{}:{}", self.path(), child.namespace.prefix(), child.name);
            self.fault(Code::MissingElement, path, place, "is missing", "add the element");
        }
    }

    fn no_text(&mut self, text: &str, place: Place) {
        if !text.trim().is_empty() {
            let fault = XmlFault::new(
                Code::MisplacedText,
                self.path(),
                "is text where only elements may stand",
                "put it into an element",
            );
            self.faults.add(fault.at(place).with_value(text.trim()));
        }
    }

    /// Reads a child of an aggregate; `None` where it is out of place.
    fn child(&mut self, tag: Tag, rules: &mut ChildRules) -> Result<Option<Element>, Fatal> {
        let name = name_in_path(&tag.namespace, &tag.name);
        let namespace = Namespace::of(&tag.namespace);
        let index = namespace.and_then(|namespace| rules.sequence().index_of(namespace, &tag.name));
        let Some(index) = index else {
            self.out_of_place(&tag, &name, rules.sequence());
            self.element(tag, name, 0, Content::Anything)?;
            return Ok(None);
        };
        let child = rules.sequence().children()[index];
        let number = rules.count(index);
        let step = if child.many { format!("{name}[{number}]") } else { name };
        let is_sound = self.check_place(&child, rules, index, &step, tag.place)?;
        rules.admit(index);
        let content = match child.namespace {
            Namespace::Basic => Content::Basic,
            Namespace::Aggregate => sequence(child.of).map_or(Content::Anything, Content::Aggregate),
            Namespace::Extension => Content::Anything,
        };
        let element = self.element(tag, step, index, content)?;
        Ok(is_sound.then_some(element))
    }

    /// Whether a child stands where it may.
    fn check_place(
        &mut self,
        child: &Child,
        rules: &ChildRules,
        index: usize,
        step: &str,
        place: Place,
    ) -> Result<bool, Fatal> {
        let path = format!("{}/{step}", self.path());
        let number = rules.count(index);
        let is_line =
            self.path.len() == 1 && self.line == format!("{}:{}", child.namespace.prefix(), child.name);
        let limit = if is_line { LINES_MAX } else { REPEATS_MAX };
        if number > limit {
            let (code, what) =
                if is_line { (Code::TooManyLines, "lines") } else { (Code::TooManyElements, "repetitions") };
            let wrong = format!("is more than {limit} {what}");
            return Err(self.stop(XmlFault::new(code, path, wrong, SMALLER).at(place)));
        }
        if number > 1 && !child.many {
            self.fault(Code::RepeatedElement, path, place, "stands twice", "keep one of the two");
            return Ok(false);
        }
        if let Some(before) = rules.stands_behind(index) {
            let wrong = format!("stands behind {}:{}", before.namespace.prefix(), before.name);
            self.fault(Code::WrongOrder, path, place, wrong, "keep the order of the UBL schema");
            return Ok(false);
        }
        Ok(true)
    }

    fn out_of_place(&mut self, tag: &Tag, name: &str, sequence: &Sequence) {
        let path = format!("{}/{name}", self.path());
        match sequence.namespace_of(&tag.name) {
            Some(right) => {
                let wrong = "is the wrong namespace for this element";
                let right = format!("use {}", right.uri());
                let fault = XmlFault::new(Code::WrongNamespace, path, wrong, right);
                self.faults.add(fault.at(tag.place).with_value(&tag.namespace));
            }
            None => {
                let right = "leave it out, or put it into ext:UBLExtensions";
                self.fault(
                    Code::UnknownElement,
                    path,
                    tag.place,
                    "is no element of UBL 2.1 at this place",
                    right,
                );
            }
        }
    }

    /// Reads an element whole, its start tag read already.
    fn element(&mut self, tag: Tag, step: String, index: usize, content: Content) -> Result<Element, Fatal> {
        self.path.push(step);
        self.elements += 1;
        if self.elements > ELEMENTS_PER_CHILD_MAX {
            let wrong = format!("holds more than {ELEMENTS_PER_CHILD_MAX} elements");
            let path: String = self.path.iter().take(2).map(|step| format!("/{step}")).collect();
            return Err(self.stop(XmlFault::new(Code::TooManyElements, path, wrong, SMALLER).at(tag.place)));
        }
        let anything = matches!(content, Content::Anything);
        if !anything {
            self.check_attributes(&tag.attributes, matches!(content, Content::Basic), tag.place);
        }
        let mut element = Element {
            uri: tag.namespace,
            name: tag.name,
            step: String::new(),
            index,
            content,
            attributes: tag.attributes,
            text: String::new(),
            children: Default::default(),
            place: tag.place,
        };
        self.content(&mut element)?;
        element.step = self.path.pop().unwrap_or_default();
        Ok(element)
    }

    /// Reads what stands between the tags of an element.
    fn content(&mut self, element: &mut Element) -> Result<(), Fatal> {
        let mut rules = match element.content {
            Content::Aggregate(sequence) => Some(ChildRules::of(sequence)),
            Content::Basic | Content::Anything => None,
        };
        loop {
            match self.next_piece()? {
                Piece::Start(tag) => match (&mut rules, element.content) {
                    (Some(rules), _) => element.children.extend(self.child(tag, rules)?),
                    (None, Content::Anything) => {
                        let step = name_in_path(&tag.namespace, &tag.name);
                        element.children.push_back(self.element(tag, step, 0, Content::Anything)?);
                    }
                    (None, _) => {
                        let step = name_in_path(&tag.namespace, &tag.name);
                        let (path, place) = (format!("{}/{step}", self.path()), tag.place);
                        let wrong = "stands inside an element that holds text only";
                        self.fault(Code::UnknownElement, path, place, wrong, "leave it out");
                        self.element(tag, step, 0, Content::Anything)?;
                    }
                },
                Piece::Text(text, place) if rules.is_some() => self.no_text(&text, place),
                Piece::Text(text, _) => element.text.push_str(&text),
                Piece::Instruction(target, content, place) => self.instruction(&target, content, place),
                Piece::End => break,
                // The pieces end inside an element with a fault only.
                Piece::Eof => return Err(Fatal),
            }
        }
        if let Some(rules) = rules {
            self.check_missing(&rules);
        }
        Ok(())
    }

    fn check_attributes(&mut self, attributes: &[Attribute], basic: bool, place: Place) {
        for attribute in attributes {
            let known = match attribute.namespace.as_str() {
                "" => basic && ATTRIBUTES.contains(&attribute.name.as_str()),
                // Where a copy of the schemas lies says nothing of the paper.
                INSTANCE => matches!(attribute.name.as_str(), "schemaLocation" | "noNamespaceSchemaLocation"),
                _ => false,
            };
            if !known {
                let path =
                    format!("{}/@{}", self.path(), name_in_path(&attribute.namespace, &attribute.name));
                let wrong = "is no attribute of UBL 2.1 at this place";
                self.fault(Code::UnknownAttribute, path, place, wrong, "leave it out");
            }
        }
    }
}
