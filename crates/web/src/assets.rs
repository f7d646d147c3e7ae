//! The page's files, embedded in the binary, under an address that changes with their content.
//!
//! All files stand under one digest, so that modules may import one another by plain relative
//! names, and browsers may keep them for good.

use std::hash::{DefaultHasher, Hasher};
use std::sync::OnceLock;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "assets/"]
struct Files;

/// The digest of all files, as it stands in their address.
pub fn digest() -> &'static str {
    static DIGEST: OnceLock<String> = OnceLock::new();
    DIGEST.get_or_init(|| {
        let mut all = DefaultHasher::new();
        for name in Files::iter() {
            if let Some(file) = Files::get(&name) {
                all.write(name.as_bytes());
                all.write(&file.metadata.sha256_hash());
            }
        }
        format!("{:016x}", all.finish())
    })
}

/// The page itself.
pub fn page() -> Response {
    let Some(file) = Files::get("index.html") else { return StatusCode::NOT_FOUND.into_response() };
    let text = String::from_utf8_lossy(&file.data).replace("{assets}", &format!("/assets/{}", digest()));
    let mut response = ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], text).into_response();
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    response
}

/// One of its files.
pub fn file(of: &str, name: &str) -> Response {
    let found = (of == digest()).then(|| Files::get(name)).flatten().filter(|_| name != "index.html");
    let Some(file) = found else { return StatusCode::NOT_FOUND.into_response() };
    let kind = match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("woff2") => "font/woff2",
        _ => "text/plain; charset=utf-8",
    };
    let forever = "public, max-age=31536000, immutable";
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, forever)], file.data.into_owned()).into_response()
}
