#!/usr/bin/env python3
"""Writes one UBL 2.1 document of each kind into scripted/, in the style of another program.

Needs Python 3 and nothing else: python3 write_documents.py
"""

import xml.etree.ElementTree as ElementTree
from pathlib import Path

SPACE = "urn:oasis:names:specification:ubl:schema:xsd:"
BASIC = SPACE + "CommonBasicComponents-2"
AGGREGATE = SPACE + "CommonAggregateComponents-2"
EXTENSION = SPACE + "CommonExtensionComponents-2"
ElementTree.register_namespace("b", BASIC)
ElementTree.register_namespace("a", AGGREGATE)
ElementTree.register_namespace("e", EXTENSION)


def fill(parent, content):
    """Adds children given as (name, text), (name, text, attributes) or (name, [children])."""
    for name, value, *rest in content:
        if isinstance(value, list):
            space = EXTENSION if name.startswith(("UBLExtension", "Extension")) else AGGREGATE
            fill(ElementTree.SubElement(parent, f"{{{space}}}{name}"), value)
        else:
            space = name[: name.index("}")].lstrip("{") if name.startswith("{") else BASIC
            local = name[name.index("}") + 1 :] if name.startswith("{") else name
            ElementTree.SubElement(parent, f"{{{space}}}{local}", rest[0] if rest else {}).text = value


EXTENSIONS = ("UBLExtensions", [("UBLExtension", [("ExtensionContent", [("{urn:example:depot}Shelf", "R 12")])])])


def each(count):
    return {"unitCode": "C62", "unitCodeListID": "UNECERec20"} if count > 1 else {"unitCode": "EA"}


def quantity(name, count):
    return (name, f"{count}.0", each(count))


def money(name, text, currency="CHF"):
    return (name, text, {"currencyID": currency})


def party(role, code, name, direct=False):
    content = [
        ("EndpointID", code.lower() + "@rail.example", {"schemeID": "EM"}),
        ("PartyIdentification", [("ID", code, {"schemeID": "depot"})]),
        ("PartyName", [("Name", name)]),
        ("PostalAddress", [("CityName", "Oberau"), ("Country", [("IdentificationCode", "CH")])]),
    ]
    return (role, content if direct else [("Party", content)])


def item(name, number, gtin=None):
    content = [
        ("Description", f"{name}\nas drawn <& checked>"),
        ("Name", name),
        ("SellersItemIdentification", [("ID", number)]),
        ("ManufacturersItemIdentification", [("ID", number.replace("P-", "N "))]),
    ]
    if gtin:
        content.append(("StandardItemIdentification", [("ID", gtin, {"schemeID": "GTIN", "schemeAgencyID": "9"})]))
    content.append(("CommodityClassification", [("ItemClassificationCode", "8483", {"listID": "HS"})]))
    content.append(("ManufacturerParty", [("PartyName", [("Name", "Norrwald")])]))
    return ("Item", content)


def head(number, *, issue="2026-11-24Z", after=()):
    version = [EXTENSIONS, ("UBLVersionID", "2.1"), ("CustomizationID", "urn:example:rail:depot:2"), ("ID", number)]
    return [*version, *after, ("IssueDate", issue), ("IssueTime", "09:15:00Z")]


def order():
    line = [
        ("Note", "outside the item"),
        ("LineItem", [
            ("ID", "10"),
            quantity("Quantity", 4),
            money("LineExtensionAmount", "+098.000"),
            ("PartialDeliveryIndicator", "1"),
            ("Delivery", [
                ("LatestDeliveryDate", "2026-12-01"),
                ("RequestedDeliveryPeriod", [("StartDate", "2026-11-30+01:00"), ("EndDate", "2026-12-01+01:00")]),
            ]),
            ("Price", [money("PriceAmount", "24.5"), quantity("BaseQuantity", 1)]),
            item("Spigot bearing", "P-6203", "6291041500213"),
            ("TaxTotal", [money("TaxAmount", "7.94")]),
        ]),
    ]
    return head("4500017", after=[("CopyIndicator", "false")]) + [
        ("OrderTypeCode", "220", {"listID": "UNCL1001"}),
        ("Note", "Bitte per Bahn – danke", {"languageID": "de"}),
        ("DocumentCurrencyCode", "CHF", {"listID": "ISO4217"}),
        ("LineCountNumeric", "1"),
        party("BuyerCustomerParty", "DEPOT-4", "Depot Oberau"),
        party("SellerSupplierParty", "PELLWORTH", "Pellworth"),
        ("AnticipatedMonetaryTotal", [money("LineExtensionAmount", "98"), money("PayableAmount", "105.94")]),
        ("OrderLine", line),
    ]


def order_response():
    delivery = ("Delivery", [quantity("Quantity", 3), ("PromisedDeliveryPeriod", [("EndDate", "2026-12-05")])])
    later = ("Delivery", [quantity("Quantity", 1), ("PromisedDeliveryPeriod", [("EndDate", "2027-01-11")])])
    substitute = [("ID", "10.1"), quantity("Quantity", 1), ("Price", [money("PriceAmount", "26.10")]), item("Spigot bearing, sealed", "P-6203S")]
    return head("AB-77", after=[("SalesOrderID", "V-1200")]) + [
        ("OrderResponseCode", "CA", {"listID": "UNCL4343"}),
        ("DocumentCurrencyCode", "CHF"),
        ("OrderReference", [("ID", "4500017"), ("IssueDate", "2026-11-24")]),
        party("SellerSupplierParty", "PELLWORTH", "Pellworth"),
        party("BuyerCustomerParty", "DEPOT-4", "Depot Oberau"),
        ("OrderLine", [
            ("LineItem", [("ID", "10"), ("LineStatusCode", "3"), quantity("Quantity", 4), delivery, later,
                          ("Price", [money("PriceAmount", "24.5")]), item("Spigot bearing", "P-6203")]),
            ("SellerProposedSubstituteLineItem", substitute),
            ("OrderLineReference", [("LineID", "10")]),
        ]),
        ("OrderLine", [("LineItem", [("ID", "20"), ("LineStatusCode", "7"), item("Circlip", "P-471")]),
                       ("OrderLineReference", [("LineID", "20")])]),
    ]


def despatch_advice():
    return head("LS-501", issue="2026-12-04") + [
        ("DespatchAdviceTypeCode", "delivery"),
        ("OrderReference", [("ID", "4500017"), ("SalesOrderID", "V-1200")]),
        party("DespatchSupplierParty", "PELLWORTH", "Pellworth"),
        party("DeliveryCustomerParty", "DEPOT-4", "Depot Oberau"),
        ("Shipment", [("ID", "1"), ("GrossWeightMeasure", "1.2", {"unitCode": "KGM"}),
                      ("Delivery", [("TrackingID", "RR77"), ("EstimatedDeliveryPeriod", [("EndDate", "2026-12-05")])])]),
        ("DespatchLine", [
            ("ID", "1"), quantity("DeliveredQuantity", 3), quantity("BackorderQuantity", 1),
            ("BackorderReason", "maker's delay"), quantity("OutstandingQuantity", 1), ("OutstandingReason", "follows"),
            ("OrderLineReference", [("LineID", "10"), ("OrderReference", [("ID", "4500017")])]),
            item("Spigot bearing", "P-6203"),
        ]),
    ]


def receipt_advice():
    return head("WE-9", issue="2026-12-05") + [
        ("OrderReference", [("ID", "4500017")]),
        ("DespatchDocumentReference", [("ID", "LS-501"), ("IssueDate", "2026-12-04")]),
        party("DeliveryCustomerParty", "DEPOT-4", "Depot Oberau"),
        party("DespatchSupplierParty", "PELLWORTH", "Pellworth"),
        ("ReceiptLine", [
            ("ID", "1"), quantity("ReceivedQuantity", 3), quantity("ShortQuantity", 1), ("ShortageActionCode", "DELIVER"),
            quantity("RejectedQuantity", 1), ("RejectReasonCode", "DMG"), ("RejectReason", "cage dented"),
            ("ReceivedDate", "2026-12-05"), ("OrderLineReference", [("LineID", "10")]),
            ("DespatchLineReference", [("LineID", "1"), ("DocumentReference", [("ID", "LS-501")])]),
            item("Spigot bearing", "P-6203"),
        ]),
    ]


def catalogue():
    def price(count, text):
        return ("RequiredItemLocationQuantity", [
            ("LeadTimeMeasure", "1", {"unitCode": "WEE"}), quantity("MinimumQuantity", count),
            ("Price", [money("PriceAmount", text), quantity("BaseQuantity", 1)])])

    def other(role, number, count):
        return (role, [("ID", number), quantity("Quantity", count)])

    version = [EXTENSIONS, ("UBLVersionID", "2.1"), ("ID", "KAT-3"), ("ActionCode", "Replace"), ("Name", "Winterliste")]
    return version + [
        ("IssueDate", "2026-11-01"), ("VersionID", "3"),
        ("ValidityPeriod", [("StartDate", "2026-12-01"), ("EndDate", "2027-03-31")]),
        party("ProviderParty", "PELLWORTH", "Pellworth", direct=True),
        party("ReceiverParty", "DEPOT-4", "Depot Oberau", direct=True),
        ("CatalogueLine", [
            ("ID", "1"), ("ActionCode", "Add"), ("LifeCycleStatusCode", "Available"), ("OrderableIndicator", "true"),
            ("OrderableUnit", "SET"), ("OrderQuantityIncrementNumeric", "2"), quantity("MinimumOrderQuantity", 2),
            other("ComponentRelatedItem", "P-6203", 2), other("ComponentRelatedItem", "P-471", 4),
            other("RequiredRelatedItem", "P-9", 1), other("ReplacedRelatedItem", "P-0800", 1),
            price(1, "80"), price(10, "72.50"), item("Seal set", "P-0801", "00000000000000"),
        ]),
    ]


def main():
    folder = Path(__file__).parent / "scripted"
    folder.mkdir(exist_ok=True)
    for name, content in [("Order", order()), ("OrderResponse", order_response()), ("DespatchAdvice", despatch_advice()),
                          ("ReceiptAdvice", receipt_advice()), ("Catalogue", catalogue())]:
        root = ElementTree.Element(f"{{{SPACE}{name}-2}}{name}")
        fill(root, content)
        text = ElementTree.tostring(root, encoding="unicode")
        head = "<?xml version='1.0' encoding='UTF-8'?><!-- another program's hand -->"
        (folder / f"{name}.xml").write_text(f"{head}{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
