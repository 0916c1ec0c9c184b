//! What a document may not be larger than. A document within all of them takes memory in proportion to its bytes.

/// Bytes of a document: some 15,000 lines of a catalogue. A larger catalogue is sent as several documents.
pub const DOCUMENT_BYTES_MAX: u64 = 32 << 20;
/// Bytes of one tag, text, comment or other piece of markup: room for a drawing inside an extension.
pub const PIECE_BYTES_MAX: u64 = 2 << 20;
/// Elements inside one another. The papers need nine, a signature in an extension some twelve more.
pub const DEPTH_MAX: usize = 32;
/// Attributes of one element, declarations of namespaces among them. UBL has nine at most.
pub const ATTRIBUTES_MAX: usize = 32;
/// Bytes of the name of an element or attribute.
pub const NAME_BYTES_MAX: usize = 200;
/// Elements inside one element of the document, such as a line.
pub const ELEMENTS_PER_CHILD_MAX: usize = 20_000;
/// Repetitions of one element inside another; lines of a document have their own limit.
pub const REPEATS_MAX: usize = 2_000;
/// Lines of a document.
pub const LINES_MAX: usize = 20_000;
/// Faults that are told one by one; the others are counted.
pub const FAULTS_MAX: usize = 50;
/// Things not understood that are kept one by one; the others are counted by their path.
pub const NOT_UNDERSTOOD_MAX: usize = 20_000;
/// Bytes of what is kept of things not understood; the others are counted by their path.
pub const NOT_UNDERSTOOD_BYTES_MAX: usize = 8 << 20;
