//! Photos and pictures: what may be uploaded, and what is shown of the project folder.
//!
//! - In: bytes from a page. Out: what kind of picture they are, or why they are refused. In: a name
//!   below the project folder. Out: the picture that lies there.
//! - What a picture is, its own first bytes say, never a name or a header that came with it.
//! - Nothing is decoded here: a picture whose dimensions would choke a browser is refused by its
//!   header alone.

use std::path::{Path, PathBuf};

use axum::http::header;
use axum::response::{IntoResponse, Response};
use imagesize::ImageType;

/// Largest photo that is taken. [bytes]
pub const LARGEST: usize = 30 << 20;
/// Most dots of a picture: what phones and flying cameras make, and browsers still show.
const MOST_DOTS: usize = 120_000_000;

/// Why a picture is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PictureFault {
    /// It is something else.
    #[error("this is no picture that can be kept; expected JPEG, PNG or WebP")]
    Kind,
    /// It is cut off or broken.
    #[error("this picture is broken or cut off; choose it again")]
    Broken,
    /// It is too large.
    #[error("this picture is too large: at most 30 MB and 120 million dots; make it smaller first")]
    Large,
}

/// Media type and ending of a picture, from its bytes.
///
/// # Errors
/// See [`PictureFault`].
pub fn kind(bytes: &[u8]) -> Result<(&'static str, &'static str), PictureFault> {
    if bytes.len() > LARGEST {
        return Err(PictureFault::Large);
    }
    let kind = match imagesize::image_type(bytes) {
        Ok(ImageType::Jpeg) => ("image/jpeg", "jpg"),
        Ok(ImageType::Png) => ("image/png", "png"),
        Ok(ImageType::Webp) => ("image/webp", "webp"),
        Ok(_) | Err(_) => return Err(PictureFault::Kind),
    };
    let size = imagesize::blob_size(bytes).map_err(|_| PictureFault::Broken)?;
    if size.width == 0 || size.height == 0 {
        return Err(PictureFault::Broken);
    }
    if size.width.saturating_mul(size.height) > MOST_DOTS {
        return Err(PictureFault::Large);
    }
    Ok(kind)
}

/// A picture of the project folder; nothing for anything else that lies there.
pub fn of_folder(folder: &Path, name: &str) -> Option<Response> {
    let path = within(folder, name)?;
    if std::fs::metadata(&path).ok()?.len() > LARGEST as u64 {
        return None;
    }
    let bytes = std::fs::read(&path).ok()?;
    let (media_type, _) = kind(&bytes).ok()?;
    Some(([(header::CONTENT_TYPE, media_type), (header::CACHE_CONTROL, "no-cache")], bytes).into_response())
}

/// The file that a name means, if it lies in the folder and not in a hidden part of it.
fn within(folder: &Path, name: &str) -> Option<PathBuf> {
    let is_name =
        |part: &str| !part.is_empty() && !part.starts_with('.') && !part.contains(['\\', ':', '\0']);
    if !name.split('/').all(is_name) {
        return None;
    }
    let folder = folder.canonicalize().ok()?;
    let path = folder.join(name).canonicalize().ok()?;
    path.starts_with(&folder).then_some(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A PNG that ends after its header, whose layout is that of the PNG specification, 11.2.2.
    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        bytes.extend(width.to_be_bytes());
        bytes.extend(height.to_be_bytes());
        bytes.extend([8, 2, 0, 0, 0]);
        bytes
    }

    #[test]
    fn a_picture_is_what_its_bytes_say() {
        assert_eq!(kind(&png(2, 3)), Ok(("image/png", "png")));
        assert_eq!(kind(b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>"), Err(PictureFault::Kind));
        assert_eq!(kind(b"GIF89a\x02\0\x03\0"), Err(PictureFault::Kind));
        assert_eq!(kind(b""), Err(PictureFault::Kind));
        assert_eq!(kind(&png(2, 3)[..18]), Err(PictureFault::Broken));
        assert_eq!(kind(&png(0, 3)), Err(PictureFault::Broken));
        assert_eq!(kind(&png(1 << 30, 1 << 30)), Err(PictureFault::Large));
        assert_eq!(kind(&vec![0; LARGEST + 1]), Err(PictureFault::Large));
    }

    #[test]
    fn only_pictures_of_the_folder_are_shown() {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("yard");
        std::fs::create_dir_all(folder.join("photos/.hidden")).unwrap();
        for name in ["photos/a.png", "photos/.hidden/b.png", "../c.png"] {
            std::fs::write(folder.join(name), png(2, 3)).unwrap();
        }
        std::fs::write(folder.join("property.toml"), "format = 1\n").unwrap();
        assert!(of_folder(&folder, "photos/a.png").is_some());
        for name in [
            "photos/.hidden/b.png",
            "../c.png",
            "photos/../../c.png",
            "property.toml",
            "photos",
            "",
            "/etc/passwd",
        ] {
            assert!(of_folder(&folder, name).is_none(), "{name}");
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(place.path().join("c.png"), folder.join("photos/link.png")).unwrap();
            assert!(of_folder(&folder, "photos/link.png").is_none(), "a link out of the folder");
        }
    }
}
