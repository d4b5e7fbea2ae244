//! Photos for the dossier: bounded in size, upright, without metadata.
//!
//! A camera's file carries where and when it was taken, and by whom; none of that belongs in a
//! document handed to strangers. Whatever comes in goes out as a baseline JPEG made afresh.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageReader, Limits, RgbImage};

/// The longest edge of a photo in the dossier [px]: 250 dots to the inch across an A4 column.
pub const LONGEST: u32 = 1640;
/// Photos of more pixels along an edge than this are refused.
const WIDEST: u32 = 30_000;
/// Decoding may take this many bytes: 100 megapixels in colour, with room to turn them.
const MEMORY: u64 = 640 << 20;
/// JPEG quality: no difference is seen on paper above this (project choice).
const QUALITY: u8 = 82;

/// A photo ready for paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Path of the file it came from.
    pub path: String,
    /// The JPEG, three channels of eight bits.
    pub jpeg: Vec<u8>,
    /// Width [px].
    pub width: u32,
    /// Height [px].
    pub height: u32,
}

/// Reads a PNG or JPEG of any size and makes it fit for paper.
///
/// # Errors
/// In a few words, why it cannot be read.
pub fn prepare(path: &str, bytes: &[u8]) -> Result<Photo, String> {
    let reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|error| error.to_string())?;
    if reader.format().is_none() {
        return Err("this is neither a PNG nor a JPEG".to_owned());
    }
    let mut reader = reader;
    let mut limits = Limits::default();
    limits.max_image_width = Some(WIDEST);
    limits.max_image_height = Some(WIDEST);
    limits.max_alloc = Some(MEMORY);
    reader.limits(limits);
    let failed = |error: image::ImageError| error.to_string();
    let mut decoder = reader.into_decoder().map_err(failed)?;
    let turned = decoder.orientation().map_err(failed)?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(failed)?;
    if image.width().max(image.height()) > LONGEST {
        image = image.thumbnail(LONGEST, LONGEST);
    }
    image.apply_orientation(turned);
    let image = on_white(&image);
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode_image(&image)
        .map_err(failed)?;
    Ok(Photo {
        path: path.to_owned(),
        jpeg,
        width: image.width(),
        height: image.height(),
    })
}

/// What is clear shows the paper.
fn on_white(image: &DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.to_rgb8();
    }
    let source = image.to_rgba8();
    RgbImage::from_fn(source.width(), source.height(), |x, y| {
        let [r, g, b, alpha] = source.get_pixel(x, y).0.map(u32::from);
        let over = |channel: u32| {
            u8::try_from((channel * alpha + 255 * (255 - alpha)) / 255).unwrap_or(u8::MAX)
        };
        image::Rgb([over(r), over(g), over(b)])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{ImageFormat, RgbaImage};

    fn png(width: u32, height: u32) -> Vec<u8> {
        let image = RgbaImage::from_fn(width, height, |x, _| {
            image::Rgba([200, 30, 30, if x == 0 { 0 } else { 255 }])
        });
        let mut bytes = Vec::new();
        image
            .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
            .unwrap();
        bytes
    }

    #[test]
    fn a_large_photo_is_made_small_and_keeps_its_shape() {
        let photo = prepare("a.png", &png(8000, 5000)).unwrap();
        assert_eq!((photo.width, photo.height), (LONGEST, LONGEST * 5 / 8));
        assert!(photo.jpeg.len() < 400_000, "{}", photo.jpeg.len());
    }

    #[test]
    fn metadata_goes_and_the_photo_stands_upright() {
        // EXIF (CIPA DC-008): orientation 6 means that the camera was turned to the right.
        let mut plain = Vec::new();
        RgbImage::from_pixel(40, 20, image::Rgb([9, 9, 9]))
            .write_to(&mut Cursor::new(&mut plain), ImageFormat::Jpeg)
            .unwrap();
        let tiff = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0SECRET";
        let mut exif = b"\xFF\xE1".to_vec();
        let length = u16::try_from(2 + 6 + tiff.len()).unwrap();
        exif.extend(length.to_be_bytes());
        exif.extend(b"Exif\0\0");
        exif.extend(tiff);
        let marked = [&plain[..2], &exif, &plain[2..]].concat();
        let photo = prepare("a.jpg", &marked).unwrap();
        assert_eq!((photo.width, photo.height), (20, 40));
        for word in [&b"Exif"[..], b"SECRET"] {
            assert!(!photo.jpeg.windows(word.len()).any(|w| w == word));
        }
    }

    #[test]
    fn what_is_no_photo_is_refused() {
        assert!(prepare("a.png", b"title: no photo").is_err());
        let cut = png(100, 100);
        assert!(prepare("a.png", &cut[..60]).is_err());
    }
}
