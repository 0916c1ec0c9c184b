//! Hostile and broken documents, each refused with its place and its cause.

use exchange::papers::Order;
use exchange::ubl::{XmlFaultCode as Code, limits, read};

const ROOT: &str = "<Order xmlns=\"urn:oasis:names:specification:ubl:schema:xsd:Order-2\" \
    xmlns:cac=\"urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2\" \
    xmlns:cbc=\"urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2\">";
const PARTIES: &str = "<cac:BuyerCustomerParty/><cac:SellerSupplierParty/>";
const LINE: &str = "<cac:OrderLine><cac:LineItem><cbc:ID>1</cbc:ID><cbc:Quantity unitCode=\"H87\">1</cbc:Quantity>\
    <cac:Item/></cac:LineItem></cac:OrderLine>";

/// An order with something put in at four places, on lines of its own.
pub(crate) fn order(before: &str, head: &str, middle: &str, line: &str) -> String {
    format!(
        "{before}{ROOT}\n<cbc:ID>PO-1</cbc:ID>\n<cbc:IssueDate>2026-11-24</cbc:IssueDate>\n{head}\n{PARTIES}\n{middle}\n{line}\n</Order>\n"
    )
}

fn head(text: &str) -> String {
    order("", text, "", LINE)
}

/// The refusal of a document, which must begin with a fault of this code.
pub(crate) fn refused(code: Code, document: impl AsRef<[u8]>) -> String {
    let faults = read::<Order>(document.as_ref()).expect_err("the document is hostile");
    assert_eq!(faults.kept()[0].code, code, "{faults}");
    assert!(
        faults.kept().iter().all(|fault| fault.place.is_some() && fault.path.starts_with('/')),
        "{faults}"
    );
    faults.to_string()
}

#[test]
fn the_order_itself_is_sound() {
    let received = read::<Order>(head("").as_bytes()).unwrap_or_else(|faults| panic!("{faults}"));
    assert!(received.not_understood.is_empty());
    let declared =
        order("\u{feff}<?xml version='1.0' encoding='utf-8' standalone='yes'?>\n<!-- a -->\n", "", "", LINE);
    assert_eq!(read::<Order>(declared.as_bytes()).unwrap().paper, received.paper);
}

#[test]
fn definitions_and_entities_are_refused() {
    let bomb = "<?xml version=\"1.0\"?>\n<!DOCTYPE o [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\"><!ENTITY c \"&b;&b;&b;&b;\">]>\n";
    let external = "<!DOCTYPE o [<!ENTITY x SYSTEM \"file:///etc/hostname\">]>";
    let all = [
        refused(Code::DocumentTypeDefinition, order(bomb, "<cbc:Note>&c;</cbc:Note>", "", LINE)),
        refused(Code::DocumentTypeDefinition, order(external, "<cbc:Note>&x;</cbc:Note>", "", LINE)),
        refused(Code::DocumentTypeDefinition, order("<!DOCTYPE Order PUBLIC \"a\" \"b.dtd\">", "", "", LINE)),
        refused(Code::DocumentTypeDefinition, head("<!DOCTYPE late>")),
        refused(Code::Entity, head("<cbc:Note>&x;</cbc:Note>")),
        refused(Code::Entity, head("<cbc:Note>a&nbsp;b</cbc:Note>")),
        refused(Code::Entity, head("<cbc:Note languageID=\"&lang;\">a</cbc:Note>")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn broken_markup_is_refused() {
    let cut = head("").split_at(380).0.to_owned();
    let all = [
        refused(Code::NotWellFormed, ""),
        refused(Code::NotWellFormed, "  \n "),
        refused(Code::NotWellFormed, "order PO-1: two seals"),
        refused(Code::NotWellFormed, cut),
        refused(Code::NotWellFormed, format!("{}<Order/>", head(""))),
        refused(Code::NotWellFormed, format!("{}and more", head(""))),
        refused(Code::NotWellFormed, head("<cbc:Note>a</cbc:note>")),
        refused(Code::UnknownElement, head("<cbc:Note>a")),
        refused(Code::NotWellFormed, head("</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note a=\"1\"b=\"2\">a</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note languageID=\"a\" languageID=\"b\">a</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note languageID=en>a</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note languageID=\"a<b\">a</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note>a & b</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note>&#0;</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note>&#xD800;</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note>a\u{1}b</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note>a]]>b</cbc:Note>")),
        refused(Code::NotWellFormed, head("<cbc:Note><![CDATA[a</cbc:Note>")),
        refused(Code::NotWellFormed, head("<!-- a -- b -->")),
        refused(Code::NotWellFormed, head("<?xml version=\"1.0\"?>")),
        refused(Code::NotWellFormed, order("<?xml version=\"1.1\"?>", "", "", LINE)),
        refused(Code::NotWellFormed, order("<?xml encoding=\"UTF-8\"?>", "", "", LINE)),
        refused(Code::NotWellFormed, head("<1:Note>a</1:Note>")),
        refused(Code::NotWellFormed, head("<cbc:No=te>a</cbc:No=te>")),
        refused(Code::NotWellFormed, head("<xmlns:Note>a</xmlns:Note>")),
        refused(Code::WrongNamespace, head("<ubl:Note>a</ubl:Note>")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn other_encodings_are_refused() {
    let wide: Vec<u8> = head("").encode_utf16().flat_map(u16::to_le_bytes).collect();
    let mut marked = vec![0xff, 0xfe];
    marked.extend(&wide);
    let latin = head("<cbc:Note>Gr\u{1}</cbc:Note>").into_bytes();
    let latin: Vec<u8> = latin.into_iter().map(|byte| if byte == 1 { 0xfc } else { byte }).collect();
    let all = [
        refused(Code::NotUtf8, wide),
        refused(Code::NotUtf8, marked),
        refused(Code::NotUtf8, latin),
        refused(Code::NotUtf8, order("<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>", "", "", LINE)),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn what_is_too_much_is_refused() {
    let deep = format!("<cac:Contract>{}</cac:Contract>", "<cac:NominationPeriod>".repeat(limits::DEPTH_MAX));
    let extension = "xmlns:ext=\"urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2\"";
    let nested = "<x>".repeat(limits::DEPTH_MAX);
    let in_extension = head("").replacen(
        "<cbc:ID>PO-1",
        &format!("<ext:UBLExtensions {extension}>{nested}</ext:UBLExtensions><cbc:ID>PO-1"),
        1,
    );
    let attributes: String = (0..=limits::ATTRIBUTES_MAX).map(|number| format!(" a{number}=\"1\"")).collect();
    let namespaces: String =
        (0..=limits::ATTRIBUTES_MAX).map(|number| format!(" xmlns:a{number}=\"u\"")).collect();
    let many = "<cac:Person/>".repeat(limits::ELEMENTS_PER_CHILD_MAX + 1);
    let party =
        format!("<cac:OriginatorCustomerParty><cac:Party>{many}</cac:Party></cac:OriginatorCustomerParty>");
    let name = "N".repeat(limits::NAME_BYTES_MAX + 1);
    let text = "x".repeat(limits::PIECE_BYTES_MAX as usize + (1 << 15));
    let extended = "<x/>".repeat(limits::ELEMENTS_PER_CHILD_MAX + 1);
    let extended = head("").replacen(
        "<cbc:ID>PO-1",
        &format!("<ext:UBLExtensions {extension}>{extended}</ext:UBLExtensions><cbc:ID>PO-1"),
        1,
    );
    let all = [
        refused(Code::TooDeep, in_extension),
        refused(Code::UnknownElement, head(&deep)),
        refused(Code::TooManyAttributes, head(&format!("<cbc:Note{attributes}>a</cbc:Note>"))),
        refused(Code::TooManyAttributes, head(&format!("<cbc:Note{namespaces}>a</cbc:Note>"))),
        refused(Code::TooManyElements, order("", "", &party, LINE)),
        refused(Code::TooManyElements, extended),
        refused(Code::TooManyElements, head(&"<cbc:Note>a</cbc:Note>".repeat(limits::REPEATS_MAX + 1))),
        refused(Code::TooManyLines, order("", "", "", &LINE.repeat(limits::LINES_MAX + 1))),
        refused(Code::NameTooLong, head(&format!("<cbc:{name}/>"))),
        refused(Code::TooLarge, head(&format!("<cbc:Note>{text}</cbc:Note>"))),
        refused(Code::TooLarge, head(&format!("<!--{text}-->"))),
        refused(Code::TextTooLong, head(&format!("<cbc:Note>{}</cbc:Note>", "x".repeat(2_001)))),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn another_structure_is_refused() {
    let invoice = head("")
        .replace("Order-2", "Invoice-2")
        .replace("<Order ", "<Invoice ")
        .replace("</Order>", "</Invoice>");
    let all = [
        refused(Code::WrongDocument, invoice),
        refused(Code::WrongDocument, "<html><body>404</body></html>"),
        refused(Code::WrongNamespace, head("").replace("xsd:Order-2", "xsd:Order-3")),
        refused(Code::WrongNamespace, head("").replace("BasicComponents-2", "BasicComponents-1")),
        refused(Code::WrongNamespace, head("<cac:Note>a</cac:Note>")),
        refused(Code::WrongNamespace, head("<Note>a</Note>")),
        refused(Code::UnknownElement, head("<cbc:Colour>red</cbc:Colour>")),
        refused(Code::UnknownElement, head("<cbc:Note>a<cbc:ID>1</cbc:ID></cbc:Note>")),
        refused(Code::UnknownAttribute, head("<cbc:Note colour=\"red\">a</cbc:Note>")),
        refused(Code::UnknownAttribute, order("", "", "<cac:Delivery id=\"1\"/>", LINE)),
        refused(
            Code::UnknownAttribute,
            head("<cbc:Note xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" xsi:nil=\"true\"/>"),
        ),
        refused(Code::MisplacedText, order("", "", "<cac:Delivery>soon</cac:Delivery>", LINE)),
        refused(Code::MisplacedText, head("soon")),
        refused(Code::WrongOrder, order("", "", "<cbc:Note>late</cbc:Note>", LINE)),
        refused(Code::WrongOrder, order("", "", LINE, "<cac:Delivery/>")),
        refused(
            Code::RepeatedElement,
            head(
                "<cbc:DocumentCurrencyCode>EUR</cbc:DocumentCurrencyCode>\n<cbc:DocumentCurrencyCode>EUR</cbc:DocumentCurrencyCode>",
            ),
        ),
        refused(
            Code::RepeatedElement,
            head("").replace("<cbc:ID>PO-1</cbc:ID>", "<cbc:ID>PO-1</cbc:ID><cbc:ID>PO-2</cbc:ID>"),
        ),
        refused(Code::MissingElement, head("").replace("<cbc:ID>PO-1</cbc:ID>", "")),
        refused(Code::MissingElement, order("", "", "", "")),
        refused(Code::MissingElement, head("").replace("<cac:Item/>", "")),
        refused(Code::Contradiction, head("<cbc:LineCountNumeric>3</cbc:LineCountNumeric>")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn several_faults_are_told_together_in_the_order_of_the_text() {
    let lines = "<cac:OrderLine><cac:LineItem><cbc:ID></cbc:ID>\n<cbc:Quantity unitCode=\"pcs\">1,5</cbc:Quantity>\n\
        <cac:Price><cbc:PriceAmount>1</cbc:PriceAmount></cac:Price><cac:Item/></cac:LineItem></cac:OrderLine>";
    let document = order("", "<cbc:DocumentCurrencyCode>Euro</cbc:DocumentCurrencyCode>", "", lines);
    insta::assert_snapshot!(refused(Code::BadCurrency, document));
    let many = order("", "", "", &LINE.replace(">1</cbc:Quantity>", ">x</cbc:Quantity>").repeat(70));
    let faults = read::<Order>(many.as_bytes()).unwrap_err();
    assert_eq!((faults.total(), faults.kept().len()), (70, limits::FAULTS_MAX));
}
