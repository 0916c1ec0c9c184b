//! The documentation of the papers is kept beside the crate and is that of the code.

#[test]
fn the_kept_documentation_is_that_of_the_papers() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("PAPERS.md");
    let made = exchange::papers::papers_readme();
    if std::env::var_os("UPDATE_PAPERS_MD").is_some() {
        std::fs::write(&file, &made).unwrap();
    }
    assert!(
        std::fs::read_to_string(&file).unwrap_or_default() == made,
        "service/exchange/PAPERS.md is old: run `UPDATE_PAPERS_MD=1 cargo test -p exchange --test papers papers_readme`"
    );
}
