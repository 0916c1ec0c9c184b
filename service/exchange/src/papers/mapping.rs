//! The one description of a paper from which every reader and writer works.
//!
//! `paper!` makes a struct whose fields each name their UBL element. Two functions follow from it: [`Mapped::fill`]
//! asks an [`Input`] for each field in turn, [`Mapped::show`] hands each to an [`Output`]. XML, CSV and the
//! documentation are inputs and outputs; none of them knows a paper.
//!
//! **Invariant:** the fields of a struct stand in the order of the UBL schema, so a reader needs no look-back and a
//! writer no sorting.

use super::value::{BadValue, Shape, Value};

/// A field of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FieldSpec {
    /// Its name, which is that of its CSV column too.
    pub name: &'static str,
    /// For a field that is a list: the name of its CSV records; else empty.
    pub record: &'static str,
    /// The UBL element, with those around it, seen from that of the struct.
    pub path: &'static str,
    /// What it means.
    pub doc: &'static str,
}

/// Reads a value from its text and the text beside it, and keeps it.
pub type ReadValue<'a> = &'a mut dyn FnMut(&str, Option<&str>) -> Result<(), BadValue>;

/// Something fields are read from.
pub trait Input {
    /// Reads one value.
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, read: ReadValue<'_>);
    /// Reads values that may be repeated.
    fn values(&mut self, spec: &FieldSpec, shape: &Shape, read: ReadValue<'_>);
    /// Reads a struct inside this one; `fill` is called where it is there, or where it is `always` there.
    fn part(&mut self, spec: &FieldSpec, always: bool, fill: &mut dyn FnMut(&mut dyn Input));
    /// Reads structs that may be repeated; `fill` is called for each.
    fn each(&mut self, spec: &FieldSpec, fill: &mut dyn FnMut(&mut dyn Input));
}

/// Something fields are written to.
pub trait Output {
    /// Writes one value, or its absence.
    fn value(&mut self, spec: &FieldSpec, shape: &Shape, required: bool, written: Option<Written>);
    /// Writes values that may be repeated.
    fn values(&mut self, spec: &FieldSpec, shape: &Shape, written: Vec<Written>);
    /// Writes a struct inside this one. One that is `always` there is written even where nothing is in it.
    fn part(&mut self, spec: &FieldSpec, always: bool, show: &mut dyn FnMut(&mut dyn Output));
    /// Writes structs that may be repeated, by their index.
    fn each(&mut self, spec: &FieldSpec, count: usize, show: &mut dyn FnMut(usize, &mut dyn Output));
}

/// A value on its way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Its text.
    pub text: String,
    /// The text beside it.
    pub beside: Option<String>,
    /// Why it could not be read again.
    pub fault: Option<BadValue>,
}

/// A struct whose fields name their UBL elements.
pub trait Mapped: Default {
    /// What one of it is.
    const DOC: &'static str;
    /// Asks for each field.
    fn fill(&mut self, input: &mut dyn Input);
    /// Hands out each field.
    fn show(&self, output: &mut dyn Output);
}

/// A kind of field: a value, one that may be absent, a struct, a list.
pub trait Field {
    /// Asks for it.
    fn fill(&mut self, spec: &FieldSpec, input: &mut dyn Input);
    /// Hands it out.
    fn show(&self, spec: &FieldSpec, output: &mut dyn Output);
}

fn written<V: Value>(value: &V) -> Written {
    let (text, beside) = value.write();
    let read = if text.is_empty() {
        Err(BadValue::missing(V::SHAPE.wanted))
    } else {
        V::read(&text, beside.as_deref()).map(|_| ())
    };
    Written { text, beside, fault: read.err() }
}

impl<V: Value> Field for V {
    fn fill(&mut self, spec: &FieldSpec, input: &mut dyn Input) {
        input.value(spec, &V::SHAPE, true, &mut |text, beside| {
            V::read(text, beside).map(|value| *self = value)
        });
    }

    fn show(&self, spec: &FieldSpec, output: &mut dyn Output) {
        output.value(spec, &V::SHAPE, true, Some(written(self)));
    }
}

impl<V: Value> Field for Option<V> {
    fn fill(&mut self, spec: &FieldSpec, input: &mut dyn Input) {
        let mut read =
            |text: &str, beside: Option<&str>| V::read(text, beside).map(|value| *self = Some(value));
        input.value(spec, &V::SHAPE, false, &mut read);
    }

    fn show(&self, spec: &FieldSpec, output: &mut dyn Output) {
        output.value(spec, &V::SHAPE, false, self.as_ref().map(written));
    }
}

impl<V: Value> Field for Vec<V> {
    fn fill(&mut self, spec: &FieldSpec, input: &mut dyn Input) {
        input
            .values(spec, &V::SHAPE, &mut |text, beside| V::read(text, beside).map(|value| self.push(value)));
    }

    fn show(&self, spec: &FieldSpec, output: &mut dyn Output) {
        output.values(spec, &V::SHAPE, self.iter().map(written).collect());
    }
}

/// Makes a struct of a paper: its fields with their UBL elements, and for lists the name of their CSV records.
macro_rules! paper {
    (
        $(#[doc = $doc:literal])+
        pub struct $name:ident {
            $(
                $(#[doc = $fdoc:literal])+
                $field:ident : $type:ty = $path:literal $(, each $record:literal)?;
            )+
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        pub struct $name {
            $( $(#[doc = $fdoc])+ #[doc = concat!(" UBL: `", $path, "`.")] pub $field: $type, )+
        }

        impl $crate::papers::mapping::Mapped for $name {
            const DOC: &'static str = concat!($($doc),+);

            fn fill(&mut self, input: &mut dyn $crate::papers::mapping::Input) {
                $( $crate::papers::mapping::Field::fill(
                    &mut self.$field, &paper!(@spec $field, $path, ($($fdoc),+), $($record)?), input,
                ); )+
            }

            fn show(&self, output: &mut dyn $crate::papers::mapping::Output) {
                $( $crate::papers::mapping::Field::show(
                    &self.$field, &paper!(@spec $field, $path, ($($fdoc),+), $($record)?), output,
                ); )+
            }
        }

        paper!(@field $name, |this, spec, input| {
            input.part(spec, true, &mut |inner| $crate::papers::mapping::Mapped::fill(this, inner));
        }, |this, spec, output| {
            output.part(spec, true, &mut |inner| $crate::papers::mapping::Mapped::show(this, inner));
        });

        paper!(@field Option<$name>, |this, spec, input| {
            input.part(spec, false, &mut |inner| {
                $crate::papers::mapping::Mapped::fill(this.get_or_insert_default(), inner);
            });
            // An element with nothing in it is as good as none.
            if *this == Some($name::default()) {
                *this = None;
            }
        }, |this, spec, output| {
            if let Some(this) = this {
                output.part(spec, false, &mut |inner| $crate::papers::mapping::Mapped::show(this, inner));
            }
        });

        paper!(@field Vec<$name>, |this, spec, input| {
            input.each(spec, &mut |inner| {
                let mut one = $name::default();
                $crate::papers::mapping::Mapped::fill(&mut one, inner);
                this.push(one);
            });
        }, |this, spec, output| {
            output.each(spec, this.len(), &mut |index, inner| {
                $crate::papers::mapping::Mapped::show(&this[index], inner);
            });
        });
    };
    (@field $type:ty, |$this:ident, $spec:ident, $input:ident| $fill:block,
        |$that:ident, $spec2:ident, $output:ident| $show:block) => {
        impl $crate::papers::mapping::Field for $type {
            fn fill(
                &mut self,
                $spec: &$crate::papers::mapping::FieldSpec,
                $input: &mut dyn $crate::papers::mapping::Input,
            ) {
                let $this = self;
                $fill
            }

            fn show(
                &self,
                $spec2: &$crate::papers::mapping::FieldSpec,
                $output: &mut dyn $crate::papers::mapping::Output,
            ) {
                let $that = self;
                $show
            }
        }
    };
    (@spec $field:ident, $path:literal, ($($fdoc:literal),+), $($record:literal)?) => {
        $crate::papers::mapping::FieldSpec {
            name: stringify!($field),
            record: concat!($($record)?),
            path: $path,
            doc: concat!($($fdoc),+),
        }
    };
}

/// Makes a choice of codes that keeps a code it does not know.
macro_rules! codes {
    (
        $(#[doc = $doc:literal])+
        pub enum $name:ident wanted $wanted:literal { $( $(#[doc = $vdoc:literal])+ $variant:ident = $code:literal, )+ }
    ) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
        #[serde(from = "String", into = "String")]
        pub enum $name {
            $( $(#[doc = $vdoc])+ $variant, )+
            /// A code of another list, as it was sent.
            Other(String),
        }

        impl $name {
            /// Its code.
            pub fn code(&self) -> &str {
                match self {
                    $( Self::$variant => $code, )+
                    Self::Other(code) => code,
                }
            }
        }

        impl From<String> for $name {
            fn from(code: String) -> Self {
                match code.as_str() {
                    $( $code => Self::$variant, )+
                    _ => Self::Other(code),
                }
            }
        }

        impl From<$name> for String {
            fn from(value: $name) -> Self {
                value.code().to_owned()
            }
        }

        impl $crate::papers::value::Value for $name {
            const SHAPE: $crate::papers::value::Shape =
                $crate::papers::value::Shape { wanted: $wanted, beside: None };

            fn read(text: &str, _: Option<&str>) -> Result<Self, $crate::papers::value::BadValue> {
                <String as $crate::papers::value::Value>::read(text, None).map(Self::from)
            }

            fn write(&self) -> (String, Option<String>) {
                <String as $crate::papers::value::Value>::write(&self.code().to_owned())
            }
        }
    };
}
