//! HMAC-SHA256 and base64 straight from their definitions, so that signatures are not checked by the code that made them.

use sha2::{Digest, Sha256};

/// HMAC over SHA-256 (RFC 2104): H((K xor opad) || H((K xor ipad) || text)).
pub(crate) fn hmac_sha256(key: &[u8], text: &[u8]) -> Vec<u8> {
    let mut block = [0_u8; 64];
    if key.len() > 64 {
        block[..32].copy_from_slice(&Sha256::digest(key));
    } else {
        block[..key.len()].copy_from_slice(key);
    }
    let padded = |pad: u8| block.map(|byte| byte ^ pad).to_vec();
    let inner = Sha256::digest([padded(0x36), text.to_vec()].concat());
    Sha256::digest([padded(0x5c), inner.to_vec()].concat()).to_vec()
}

const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Base64 (RFC 4648, 4).
pub(crate) fn base64(bytes: &[u8]) -> String {
    let mut text = String::new();
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let joined = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            let letter = LETTERS[(joined >> (18 - 6 * place) & 63) as usize];
            text.push(if place > three.len() { '=' } else { char::from(letter) });
        }
    }
    text
}

/// The bytes of a base64 text.
pub(crate) fn unbase64(text: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let (mut joined, mut bits) = (0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=') {
        let value = LETTERS.iter().position(|known| *known == letter).unwrap();
        joined = joined << 6 | u32::try_from(value).unwrap();
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((joined >> bits & 255) as u8);
        }
    }
    bytes
}
