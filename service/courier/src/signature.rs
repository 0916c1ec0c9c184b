//! Signatures as Standard Webhooks 1.0 has them: HMAC-SHA256 over id, time and body.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::secret::Secret;

/// The signature of a message under a secret: `v1,` and the base64 of HMAC-SHA256 over `id.time.body`.
pub fn signed(secret: &Secret, id: &str, timestamp_s: i64, body: &[u8]) -> String {
    // HMAC takes a key of any length (RFC 2104, 3).
    let mut mac = Hmac::<Sha256>::new_from_slice(secret.bytes()).expect("HMAC takes a key of any length");
    mac.update(format!("{id}.{timestamp_s}.").as_bytes());
    mac.update(body);
    format!("v1,{}", STANDARD.encode(mac.finalize().into_bytes()))
}

/// The value of the header `webhook-signature`: one signature for each secret that is valid now, with spaces between.
pub fn signature_header(secrets: &[Secret], id: &str, timestamp_s: i64, body: &[u8]) -> String {
    let signatures: Vec<String> =
        secrets.iter().map(|secret| signed(secret, id, timestamp_s, body)).collect();
    signatures.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the PyPI package standardwebhooks made of random messages: `tests/referees/webhook_signatures.py`.
    const REFEREE: &str = include_str!("../tests/webhook_signatures.json");

    #[test]
    fn a_signature_is_what_an_independent_library_makes_of_it() {
        let cases: Vec<serde_json::Value> = serde_json::from_str(REFEREE).unwrap();
        assert!(cases.len() >= 50);
        for case in cases {
            let text = |name: &str| case[name].as_str().unwrap();
            let secret = Secret::parse(text("secret")).unwrap();
            let time = case["timestamp_s"].as_i64().unwrap();
            assert_eq!(
                signed(&secret, text("id"), time, text("body").as_bytes()),
                text("signature"),
                "{case}"
            );
        }
    }

    #[test]
    fn while_a_secret_is_replaced_both_sign() {
        let (old, new) = (Secret::from_bytes([1; 32]), Secret::from_bytes([2; 32]));
        let both = signature_header(&[new.clone(), old.clone()], "id", 1, b"{}");
        assert_eq!(both, format!("{} {}", signed(&new, "id", 1, b"{}"), signed(&old, "id", 1, b"{}")));
        assert_ne!(signed(&new, "id", 1, b"{}"), signed(&new, "id", 2, b"{}"));
    }
}
