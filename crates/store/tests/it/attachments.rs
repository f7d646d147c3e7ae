//! Attachments by the hash of their content.

use groundwright_store::Hash;

use crate::yard::{Yard, now};

#[test]
fn what_is_attached_comes_back_and_is_kept_once() {
    let yard = Yard::new();
    let picture: Vec<u8> = (0..100_000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let hash = yard.store.attach(&picture, "image/png", now()).unwrap();
    assert_eq!(yard.store.attach(&picture, "image/jpeg", now()).unwrap(), hash);
    let yard = yard.reopened();
    let found = yard.store.attachment(hash).unwrap().unwrap();
    assert_eq!((found.media_type.as_str(), found.at), ("image/png", now()));
    assert_eq!(found.bytes, picture);
    assert_eq!(yard.store.attachment(Hash::of(b"other")).unwrap(), None);
    // A text of the project is content too, but nobody attached it.
    assert_eq!(yard.store.attachment(Hash::of(crate::yard::PROPERTY.as_bytes())).unwrap(), None);
}

/// SHA-256 of "abc" and of the empty message.
/// Source: FIPS 180-2, appendix B.1 for "abc"; the empty message is in NIST's byte-oriented test
/// vectors (SHA256ShortMsg, Len = 0). Both from memory.
#[test]
fn hashes_are_those_of_the_standard() {
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
    assert_eq!(Hash::of(b"abc").to_string(), abc);
    assert_eq!(Hash::of(b"").to_string(), empty);
    assert_eq!(Hash::parse(abc), Some(Hash::of(b"abc")));
    for wrong in ["", "ba", &abc[1..], &abc.replace('f', "g"), &format!("{abc}0"), "é"] {
        assert_eq!(Hash::parse(wrong), None, "{wrong}");
    }
}

/// A photo lies in the project folder; the journal brings it back, takes in what somebody laid there
/// by hand, and says what neither has.
#[test]
fn photos_of_folder_and_journal_are_brought_into_step() {
    let yard = Yard::new();
    let name = yard.store.attach_file(yard.project, b"a photo", ("image/png", "png"), now()).unwrap();
    assert_eq!(name, format!("photos/{:.20}.png", Hash::of(b"a photo").to_string()));
    let path = yard.folder().join(&name);
    assert_eq!(std::fs::read(&path).unwrap(), b"a photo");
    std::fs::write(yard.folder().join("photos/own.jpg"), b"laid by hand").unwrap();
    let names = [name.as_str(), "photos/own.jpg", "photos/never.jpg"];
    let sync = || yard.store.sync_attachments(yard.project, &names, now()).unwrap();
    assert_eq!(sync(), ["photos/never.jpg"]);
    for file in ["photos/own.jpg", name.as_str()] {
        std::fs::remove_file(yard.folder().join(file)).unwrap();
    }
    assert_eq!(sync(), ["photos/never.jpg"]);
    assert_eq!(std::fs::read(&path).unwrap(), b"a photo");
    assert_eq!(std::fs::read(yard.folder().join("photos/own.jpg")).unwrap(), b"laid by hand");
}
