//! A supplier's catalogue: parts, kit contents, prices, companions and supersession, taken in as a bundle of rows.
//!
//! A line changes what it speaks of and nothing else: a field that UBL has no element for stays as the shop has it.

mod rows;

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Companion, KitLine, Maker, Part, PartKey, Price, Sheet, Supersession, bundle};
use exchange::SheetWriter;
use exchange::papers::Catalogue;
use store::StoreError;

use self::rows::RowsOf;
use super::error::{PaperError, PaperFault};
use super::outcome::{PaperOutcome, TakenCatalogue};
use super::sent_paper::PaperSort;
use super::take_in::{Incoming, Kept, Stop, json};
use crate::import_catalogue::{BundleSource, ImportError, ImportRequest, import_catalogue};
use crate::shop::Shop;

/// The rows that a document comes to.
#[derive(Default)]
struct Rows {
    makers: BTreeMap<Code, Maker>,
    parts: BTreeMap<PartKey, Part>,
    kit_lines: Vec<KitLine>,
    /// Kits whose lists the document gives.
    kits: BTreeSet<PartKey>,
    /// Whether a line of such a list falls away.
    line_falls_away: bool,
    prices: Vec<Price>,
    companions: Vec<Companion>,
    supersessions: Vec<Supersession>,
    remarks: Vec<String>,
    faults: Vec<PaperFault>,
}

pub(super) async fn take(shop: &Shop, paper: &Catalogue, incoming: &Incoming<'_>) -> Result<Kept, Stop> {
    let supplier = supplier_of(shop, paper).await?;
    let mut kept = incoming.kept(shop, PaperSort::Catalogue, supplier.as_str(), &paper.number).await?;
    // Whoever else changes structure or prices in between moves their revisions; then the document is looked at again.
    let revisions = shop.store().revisions().await?;
    let mut rows = RowsOf::read(shop, paper, &supplier).await?;
    if !rows.faults.is_empty() {
        return Err(Stop::Error(PaperError::Wrong(rows.faults)));
    }
    let mut request = ImportRequest {
        report_findings: false,
        at_structure_revision: Some(revisions.structure),
        at_price_revision: Some(revisions.price),
        who: incoming.by().to_owned(),
        note: format!("catalogue {} of {supplier}", paper.number),
        ..ImportRequest::on(incoming.at.date_naive())
    };
    if rows.line_falls_away {
        // A merge removes no row, so the whole table is put back without the lists that the document gives.
        let others = shop.store().all_rows::<KitLine>().await?.into_iter();
        let others: Vec<KitLine> = others.filter(|line| !rows.kits.contains(&line.kit)).collect();
        rows.kit_lines.extend(others);
        request.replace.insert(KitLine::SPEC.name.to_owned());
    }
    let remarks = std::mem::take(&mut rows.remarks);
    let files = files(&rows).map_err(|source| {
        let path = std::path::PathBuf::from("catalogue");
        PaperError::Import(ImportError::File { path, source })
    })?;
    let sheets = if files.is_empty() {
        Vec::new()
    } else {
        match import_catalogue(shop, BundleSource::Texts(files), &request, &mut |_| ()).await {
            Ok(report) => report.sheets,
            Err(ImportError::Store(StoreError::RevisionMoved { .. })) => return Err(Stop::Again),
            Err(ImportError::Store(error)) => return Err(error.into()),
            Err(error) => return Err(Stop::Error(PaperError::Import(error))),
        }
    };
    kept.outcome =
        json(&PaperOutcome::TookCatalogue(TakenCatalogue { supplier: supplier.clone(), sheets, remarks }))?;
    shop.store().keep_received_paper(&kept).await?;
    Ok((PaperSort::Catalogue, supplier.as_str().to_owned(), paper.number.clone()))
}

async fn supplier_of(shop: &Shop, paper: &Catalogue) -> Result<Code, PaperError> {
    let known = shop.store().load_prices(&[], None).await?.suppliers;
    let written = paper.provider.code.as_deref().unwrap_or_default();
    let found = known.iter().find(|row| row.supplier.as_str().eq_ignore_ascii_case(written.trim()));
    found.map(|row| row.supplier.clone()).ok_or_else(|| {
        PaperError::Wrong(vec![PaperFault {
            place: "/Catalogue/cac:ProviderParty/cac:PartyIdentification/cbc:ID".to_owned(),
            detail: format!(
                "`{written}` is no supplier of the shop; give the code under which it knows the sender"
            ),
            suggestions: known.iter().map(|row| row.supplier.to_string()).collect(),
        }])
    })
}

/// The rows as the files of a bundle.
fn files(rows: &Rows) -> std::io::Result<BTreeMap<String, Vec<u8>>> {
    let mut files = BTreeMap::new();
    add(&mut files, rows.makers.values())?;
    add(&mut files, rows.parts.values())?;
    add(&mut files, &rows.kit_lines)?;
    add(&mut files, &rows.prices)?;
    add(&mut files, &rows.companions)?;
    add(&mut files, &rows.supersessions)?;
    Ok(files)
}

fn add<'a, T: Sheet + 'a>(
    files: &mut BTreeMap<String, Vec<u8>>,
    rows: impl IntoIterator<Item = &'a T>,
) -> std::io::Result<()> {
    let mut rows = rows.into_iter().peekable();
    if rows.peek().is_none() {
        return Ok(());
    }
    let name = T::SPEC.name;
    let spec = bundle::sheet(name).ok_or_else(|| std::io::Error::other("there is no such sheet"))?;
    let mut writer = SheetWriter::new(spec, Vec::new())?;
    for row in rows {
        writer.write_row(&row.to_cells())?;
    }
    files.insert(format!("{name}.csv"), writer.finish()?);
    Ok(())
}
