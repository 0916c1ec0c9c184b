//! The secret with which messages are signed, in the form `whsec_` that Standard Webhooks gives it.

use std::fmt;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// What stands before the secret's bytes.
const PREFIX: &str = "whsec_";
/// How many bytes a secret has (Standard Webhooks, "Signature scheme").
const BYTES: std::ops::RangeInclusive<usize> = 24..=64;

/// What is wrong with a text that should be a secret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a secret is `whsec_` and the base64 of 24 to 64 bytes")]
pub struct SecretFault;

/// A secret. It does not show itself in logs.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(Vec<u8>);

impl Secret {
    /// The secret of these bytes.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes.to_vec())
    }

    /// Reads a secret.
    pub fn parse(text: &str) -> Result<Self, SecretFault> {
        let bytes =
            text.strip_prefix(PREFIX).and_then(|rest| STANDARD.decode(rest).ok()).ok_or(SecretFault)?;
        if BYTES.contains(&bytes.len()) { Ok(Self(bytes)) } else { Err(SecretFault) }
    }

    /// The secret as text: for the one who is to check signatures, and nobody else.
    pub fn text(&self) -> String {
        format!("{PREFIX}{}", STANDARD.encode(&self.0))
    }

    pub(crate) fn bytes(&self) -> &[u8] {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(..)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_read_as_it_is_written_and_keeps_to_itself() {
        let secret = Secret::from_bytes([7; 32]);
        assert_eq!(Secret::parse(&secret.text()).unwrap(), secret);
        assert_eq!(format!("{secret:?}"), "Secret(..)");
        let short = format!("whsec_{}", STANDARD.encode([1; 23]));
        let long = format!("whsec_{}", STANDARD.encode([1; 65]));
        for wrong in ["", "whsec_", "whsec_??", &secret.text()[6..], &short, &long] {
            assert_eq!(Secret::parse(wrong), Err(SecretFault), "{wrong}");
        }
    }
}
