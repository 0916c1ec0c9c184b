//! A paper as it is sent: which sort it is, and its reading.

use exchange::papers::{Catalogue, DespatchAdvice, Order, OrderResponse, Paper, ReceiptAdvice};
use exchange::ubl::Remainder;
use exchange::{paper_csv, ubl};
use sha2::{Digest, Sha256};

use super::error::{PaperError, PaperFault};
use super::format::PaperFormat;

/// The file name that faults of a CSV paper carry.
const FILE: &str = "paper.csv";

catalogue::choice! {
    /// A sort of paper.
    pub enum PaperSort {
        /// An order.
        Order = "order",
        /// A supplier's answer to an order.
        OrderResponse = "order_response",
        /// What a supplier has sent.
        DespatchAdvice = "despatch_advice",
        /// What was found in a box.
        ReceiptAdvice = "receipt_advice",
        /// What a supplier sells.
        Catalogue = "catalogue",
    }
}

/// A paper as it is sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentPaper {
    /// How it is written.
    pub format: PaperFormat,
    /// Its text.
    pub text: String,
    /// Who sends it in.
    pub by: String,
    /// The bin into which all that a receipt advice counts goes; `None`: where most of each part lies.
    pub bin: Option<String>,
}

/// A paper that was read.
pub(super) enum ReadPaper {
    Order(Order),
    OrderResponse(OrderResponse),
    DespatchAdvice(DespatchAdvice),
    ReceiptAdvice(ReceiptAdvice),
    Catalogue(Catalogue),
}

impl SentPaper {
    /// SHA-256 of its text, in hexadecimal.
    pub(super) fn digest(&self) -> String {
        Sha256::digest(self.text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// Reads it as what it says it is.
    pub(super) fn read(&self) -> Result<(ReadPaper, Remainder), PaperError> {
        Ok(match self.sort()? {
            PaperSort::Order => self.read_as(ReadPaper::Order)?,
            PaperSort::OrderResponse => self.read_as(ReadPaper::OrderResponse)?,
            PaperSort::DespatchAdvice => self.read_as(ReadPaper::DespatchAdvice)?,
            PaperSort::ReceiptAdvice => self.read_as(ReadPaper::ReceiptAdvice)?,
            PaperSort::Catalogue => self.read_as(ReadPaper::Catalogue)?,
        })
    }

    fn read_as<P: Paper>(&self, of: fn(P) -> ReadPaper) -> Result<(ReadPaper, Remainder), PaperError> {
        match self.format {
            PaperFormat::Ubl => {
                let received =
                    ubl::read::<P>(self.text.as_bytes()).map_err(|faults| PaperError::Unreadable {
                        total: faults.total(),
                        faults: faults.kept().iter().map(PaperFault::of_xml).collect(),
                    })?;
                Ok((of(received.paper), received.not_understood))
            }
            PaperFormat::Csv => {
                let paper = paper_csv::read::<P>(FILE, self.text.as_bytes()).map_err(|faults| {
                    PaperError::Unreadable {
                        total: faults.total(),
                        faults: faults.kept().iter().map(PaperFault::of_csv).collect(),
                    }
                })?;
                Ok((of(paper), Remainder::default()))
            }
        }
    }

    /// Which sort it is: by its root element, or by what its first row says.
    fn sort(&self) -> Result<PaperSort, PaperError> {
        let (word, told) = match self.format {
            PaperFormat::Ubl => {
                let kind = ubl::document_type(self.text.as_bytes());
                let word = kind.map_or(String::new(), |kind| kind.record.to_owned());
                let told = "the root element is none of Order, OrderResponse, DespatchAdvice, ReceiptAdvice and Catalogue \
                            of UBL 2.1, each in its own namespace";
                (word, told.to_owned())
            }
            PaperFormat::Csv => {
                let word = paper_csv::record_of(&self.text);
                let told = format!(
                    "the column `record` of the first row below the header says `{word}`; it says which paper it is: {}",
                    PaperSort::WORDS.join(", ")
                );
                (word, told)
            }
        };
        PaperSort::from_word(&word).ok_or(PaperError::UnknownKind(told))
    }
}
