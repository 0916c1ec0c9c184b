//! Writes a paper as a UBL document.

use super::fault::{XmlFault, XmlFaultCode as Code, XmlFaults};
use super::limits::{DOCUMENT_BYTES_MAX, LINES_MAX, REPEATS_MAX};
use super::namespace::{AGGREGATE, BASIC, Namespace};
use super::reader::split_path;
use super::sequences::{Sequence, sequence};
use super::xml_text::escape;
use crate::papers::mapping::{FieldSpec, Output, Written};
use crate::papers::value::{Shape, Side};
use crate::papers::{Paper, PaperKind};

/// Writes a paper as UBL 2.1, in UTF-8, such that [`super::read`] gives it back.
///
/// # Errors
///
/// What cannot stand in such a document: a text that is too long or holds control characters, an empty number, more
/// lines than [`super::limits`] allow. The faults have a path and no place in the text.
pub fn write<P: Paper>(paper: &P) -> Result<String, XmlFaults> {
    let mut writer = Writer::new(&P::KIND, paper.line_count());
    for (name, text) in [
        ("cbc:UBLVersionID", "2.1"),
        ("cbc:CustomizationID", P::KIND.customization),
        ("cbc:ProfileID", P::KIND.profile),
    ] {
        writer.leaf(name, text, None);
    }
    paper.show(&mut writer);
    writer.finish(&P::KIND)
}

/// An element that fields are written into; its start tag is written when something is.
struct Open {
    name: &'static str,
    /// Its name in a path, with its number where it is one of several.
    step: String,
    begun: bool,
}

struct Writer {
    out: String,
    open: Vec<Open>,
    base: usize,
    root: &'static Sequence,
    lines: Option<usize>,
    faults: XmlFaults,
}

impl Writer {
    fn new(kind: &PaperKind, lines: usize) -> Self {
        let out = format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<{} xmlns=\"{}\" xmlns:cac=\"{AGGREGATE}\" xmlns:cbc=\"{BASIC}\">\n",
            kind.document, kind.namespace
        );
        let root = Open { name: kind.document, step: kind.document.to_owned(), begun: true };
        Self {
            out,
            open: vec![root],
            base: 0,
            root: sequence(kind.document).expect("each kind of paper is in the list of sequences"),
            lines: Some(lines),
            faults: XmlFaults::default(),
        }
    }

    fn finish(mut self, kind: &PaperKind) -> Result<String, XmlFaults> {
        while self.open.len() > 1 {
            self.leave();
        }
        self.out.push_str(&format!("</{}>\n", kind.document));
        if self.out.len() as u64 > DOCUMENT_BYTES_MAX {
            let wrong = format!("is larger than {} MiB", DOCUMENT_BYTES_MAX >> 20);
            let path = format!("/{}", kind.document);
            self.faults.add(XmlFault::new(Code::TooLarge, path, wrong, "write several smaller documents"));
        }
        if self.faults.is_empty() { Ok(self.out) } else { Err(self.faults) }
    }

    fn path(&self) -> String {
        self.open.iter().map(|open| format!("/{}", open.step)).collect()
    }

    fn indent(&mut self, depth: usize) {
        self.out.extend(std::iter::repeat_n("  ", depth));
    }

    /// Writes the number of lines where its place in the order has come.
    fn count_lines_before(&mut self, child: &str) {
        let place = Namespace::split(child).and_then(|(namespace, name)| self.root.index_of(namespace, name));
        if place > self.root.index_of(Namespace::Basic, "LineCountNumeric")
            && let Some(lines) = self.lines.take()
        {
            self.out.push_str(&format!("  <cbc:LineCountNumeric>{lines}</cbc:LineCountNumeric>\n"));
        }
    }

    /// Writes the start tags that are still owed.
    fn begin(&mut self) {
        if let Some(first) = self.open.get(1).filter(|open| !open.begun) {
            self.count_lines_before(first.name);
        }
        for depth in 1..self.open.len() {
            if !self.open[depth].begun {
                self.open[depth].begun = true;
                self.indent(depth);
                self.out.push_str(&format!("<{}>\n", self.open[depth].name));
            }
        }
    }

    fn enter(&mut self, name: &'static str, number: Option<usize>) {
        let step = number.map_or(name.to_owned(), |number| format!("{name}[{number}]"));
        self.open.push(Open { name, step, begun: false });
    }

    fn leave(&mut self) {
        if let Some(Open { name, begun: true, .. }) = self.open.pop() {
            self.indent(self.open.len());
            self.out.push_str(&format!("</{name}>\n"));
        }
    }

    fn go_to(&mut self, around: &[&'static str]) {
        let open = self.open[self.base + 1..].iter();
        let shared = open.zip(around).take_while(|(open, name)| open.name == **name).count();
        while self.open.len() > self.base + 1 + shared {
            self.leave();
        }
        for name in &around[shared..] {
            self.enter(name, None);
        }
    }

    fn leaf(&mut self, name: &'static str, text: &str, attribute: Option<(&str, &str)>) {
        self.begin();
        if self.open.len() == 1 {
            self.count_lines_before(name);
        }
        self.indent(self.open.len());
        self.out.push_str(&format!("<{name}"));
        if let Some((attribute, value)) = attribute {
            self.out.push_str(&format!(" {attribute}=\""));
            escape(value, true, &mut self.out);
            self.out.push('"');
        }
        self.out.push('>');
        escape(text, false, &mut self.out);
        self.out.push_str(&format!("</{name}>\n"));
    }

    fn written(&mut self, name: &'static str, number: Option<usize>, shape: &Shape, written: &Written) {
        let attribute = shape.beside.map_or("", |beside| beside.attribute);
        if let Some(bad) = &written.fault {
            let number = number.map_or(String::new(), |number| format!("[{number}]"));
            let at = if bad.side == Side::Beside { format!("/@{attribute}") } else { String::new() };
            let path = format!("{}/{name}{number}{at}", self.path());
            let value =
                if bad.side == Side::Beside { written.beside.as_deref() } else { Some(&*written.text) };
            let fault = XmlFault::new(bad.kind.into(), path, bad.wrong.clone(), bad.right.clone());
            self.faults.add(fault.with_value(value.unwrap_or_default()));
            return;
        }
        self.leaf(name, &written.text, written.beside.as_deref().map(|beside| (attribute, beside)));
    }

    fn check_count(&mut self, name: &str, count: usize) {
        let limit = if self.open.len() == 1 { LINES_MAX } else { REPEATS_MAX };
        if count > limit {
            let wrong = format!("stands {count} times, more than {limit}");
            let path = format!("{}/{name}", self.path());
            self.faults.add(XmlFault::new(
                Code::TooManyElements,
                path,
                wrong,
                "write several smaller documents",
            ));
        }
    }

    fn show_open(&mut self, show: &mut dyn FnMut(&mut Self)) {
        let outer = std::mem::replace(&mut self.base, self.open.len() - 1);
        show(self);
        while self.open.len() > self.base {
            self.leave();
        }
        self.base = outer;
    }
}

impl Output for Writer {
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, _: bool, written: Option<Written>) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        if let Some(written) = written {
            self.written(name, None, shape, &written);
        }
    }

    fn values(&mut self, spec: &FieldSpec, shape: &Shape, all: Vec<Written>) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        self.check_count(name, all.len());
        for (index, written) in all.iter().enumerate() {
            self.written(name, Some(index + 1), shape, written);
        }
    }

    fn part(&mut self, spec: &FieldSpec, always: bool, show: &mut dyn FnMut(&mut dyn Output)) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        self.enter(name, None);
        if always {
            self.begin();
        }
        self.show_open(&mut |this| show(this));
    }

    fn each(&mut self, spec: &FieldSpec, count: usize, show: &mut dyn FnMut(usize, &mut dyn Output)) {
        let (around, name) = split_path(spec.path);
        self.go_to(&around);
        self.check_count(name, count);
        for index in 0..count {
            self.enter(name, Some(index + 1));
            // Each one counts, even where nothing is in it.
            self.begin();
            self.show_open(&mut |this| show(index, this));
        }
    }
}
