//! Content codings: another representation has another strong tag.

use std::sync::Arc;

use crate::harness::{Reply, Service};

tests![a_gzip_body_has_its_own_tag, either_tag_is_known];

async fn a_gzip_body_has_its_own_tag(service: Arc<Service>) {
    let plain = service.get("/v1/units/T-100").await.expect(200);
    let coded = Reply::of(service.request("GET", "/v1/units/T-100").header("accept-encoding", "gzip")).await;
    assert_eq!((coded.status, coded.header("content-encoding")), (200, "gzip"));
    assert_eq!(plain.header("content-encoding"), "");
    assert_eq!(&coded.body[..2], &[0x1f, 0x8b], "the magic number of gzip");
    assert_ne!(coded.header("etag"), plain.header("etag"));
    assert!(coded.header("vary").to_lowercase().contains("accept-encoding"));
    assert!(coded.body.len() < plain.body.len());
}

async fn either_tag_is_known(service: Arc<Service>) {
    let coded = Reply::of(service.request("GET", "/v1/units/T-100").header("accept-encoding", "gzip")).await;
    for accepted in ["gzip", "identity"] {
        let again = service.request("GET", "/v1/units/T-100").header("accept-encoding", accepted);
        let again = Reply::of(again.header("if-none-match", coded.header("etag"))).await;
        assert_eq!((again.status, again.body.len()), (304, 0), "{accepted}");
    }
}
