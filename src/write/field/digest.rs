//! What is the fingerprint a browser asks of a script before it runs it?
//!
//! SHA-256 as in FIPS 180-4 (2015), sections 4 to 6, and base 64 as in RFC 4648 section 4. The constants are worked out as the
//! standard defines them: the first 32 bits of the fractional parts of the square roots of the first 8 primes, and of the cube
//! roots of the first 64. It is held against the examples published with the standard. It keeps no secret here: a browser with
//! this fingerprint in the page's own policy runs no other script.

/// The digest of some bytes, in base 64.
#[must_use]
pub(super) fn sha256_base64(bytes: &[u8]) -> String {
    base64(&sha256(bytes))
}

/// First 32 bits of the fractional part of the `power`-th root of each of the first N primes.
fn roots<const N: usize>(power: u32) -> [u32; N] {
    let primes = (2_u128..).filter(|n| (2..*n).take_while(|d| d * d <= *n).all(|d| n % d != 0));
    let mut out = [0; N];
    for (slot, prime) in out.iter_mut().zip(primes) {
        // The greatest x with x^power <= prime * 2^(32 power), found bit by bit: the root with 32 bits behind the point.
        let bound = prime << (32 * power);
        let root = (0..36).rev().fold(0_u128, |x, bit| {
            let more = x | (1 << bit);
            if more.pow(power) <= bound { more } else { x }
        });
        *slot = u32::try_from(root & 0xffff_ffff).unwrap_or(0);
    }
    out
}

fn sha256(bytes: &[u8]) -> [u8; 32] {
    let (mut state, k): ([u32; 8], [u32; 64]) = (roots(2), roots(3));
    let mut padded = bytes.to_vec();
    padded.push(0x80);
    while padded.len() % 64 != 56 {
        padded.push(0);
    }
    padded.extend((bytes.len() as u64 * 8).to_be_bytes());
    for block in padded.chunks_exact(64) {
        let mut w = [0_u32; 64];
        for (slot, b) in w.iter_mut().zip(block.chunks_exact(4)) {
            *slot = u32::from_be_bytes([b[0], b[1], b[2], b[3]]);
        }
        for t in 16..64 {
            let small = |x: u32, a, b, c| x.rotate_right(a) ^ x.rotate_right(b) ^ (x >> c);
            let (s0, s1) = (small(w[t - 15], 7, 18, 3), small(w[t - 2], 17, 19, 10));
            w[t] = w[t - 16].wrapping_add(s0).wrapping_add(w[t - 7]).wrapping_add(s1);
        }
        let [mut a, mut b, mut c, mut d, mut e, mut f, mut g, mut h] = state;
        for t in 0..64 {
            let big = |x: u32, i, j, k| x.rotate_right(i) ^ x.rotate_right(j) ^ x.rotate_right(k);
            let chosen = (e & f) ^ (!e & g);
            let one = h.wrapping_add(big(e, 6, 11, 25)).wrapping_add(chosen).wrapping_add(k[t]).wrapping_add(w[t]);
            let most = (a & b) ^ (a & c) ^ (b & c);
            let two = big(a, 2, 13, 22).wrapping_add(most);
            (h, g, f, e) = (g, f, e, d.wrapping_add(one));
            (d, c, b, a) = (c, b, a, one.wrapping_add(two));
        }
        for (sum, part) in state.iter_mut().zip([a, b, c, d, e, f, g, h]) {
            *sum = sum.wrapping_add(part);
        }
    }
    let mut out = [0; 32];
    for (slot, word) in out.chunks_exact_mut(4).zip(state) {
        slot.copy_from_slice(&word.to_be_bytes());
    }
    out
}

fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let all = three.iter().enumerate().fold(0_u32, |all, (k, b)| all | u32::from(*b) << (16 - 8 * k));
        for k in 0..4 {
            let letter = LETTERS[(all >> (18 - 6 * k) & 63) as usize];
            out.push(if k <= three.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hex(bytes: &[u8]) -> String {
        sha256(bytes).iter().map(|b| format!("{b:02x}")).collect()
    }

    #[test]
    fn the_examples_of_the_standard() {
        // NIST, Cryptographic Standards: examples with intermediate values, SHA-256, one block and two blocks; and no block.
        assert_eq!(hex(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        let two = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
        assert_eq!(hex(two), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
        assert_eq!(hex(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
        // RFC 4648 section 10.
        let cases =
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg=="), ("fooba", "Zm9vYmE=")];
        for (plain, coded) in cases {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
