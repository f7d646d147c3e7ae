//! Photometric files after IES LM-63, editions 1986 to 2019.
//!
//! - In: the text of a file. Out: intensities over the angles of type C, all factors applied, with
//!   flux, peak and interpolation; or an error with its line.
//! - Method: tokens after the TILT line, since records wrap as they like; bilinear in angle; flux in
//!   closed form for that interpolant (`distribution.rs`).
//! - Vertical angle 0 is the axis of the fixture, not the nadir of the ground: a garden spot is aimed.
//! - Not here: photometry of types A and B, and tilt data in a file of its own: refused with a remedy.
//!
//! Source: layout from a reproduction of the 2002 standard and manuals that document it; meaning of
//! −1 lumens and of the third code of 2019 from memory.

mod distribution;
mod fault;
mod read;

pub use fault::IesError;

/// Edition of the standard that a file names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Edition {
    /// 1986: no line names it.
    Of1986,
    /// 1991.
    Of1991,
    /// 1995.
    Of1995,
    /// 2002.
    Of2002,
    /// 2019.
    Of2019,
}

/// How the planes that are stored make the whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Symmetry {
    /// One plane for all: alike all round.
    Axial,
    /// 0° to 90°: each quadrant mirrored.
    Quadrant,
    /// 0° to 180°: mirrored about the plane of 0° and 180°.
    Bilateral,
    /// 90° to 270°: mirrored about the plane of 90° and 270°.
    BilateralAcross,
    /// 0° to 360°: none.
    Whole,
}

/// Lamp output by tilt of the fixture, as a file tells it; the table itself stands at tilt 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Tilt {
    /// Lamp-to-luminaire geometry: 1, 2 or 3.
    pub geometry: u8,
    /// Angle and multiplier. [rad, -]
    pub factors: Vec<(f64, f64)>,
}

/// What a file tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Photometry {
    /// Edition.
    pub edition: Edition,
    /// Keywords with their text, `[MORE]` joined on.
    pub keywords: Vec<(String, String)>,
    /// Tilt data, where the file includes them.
    pub tilt: Option<Tilt>,
    /// Lamps in the fixture.
    pub lamps: f64,
    /// Rated lumens of a lamp; none for absolute photometry. [lm]
    pub lamp_lumens: Option<f64>,
    /// Whether sizes were given in feet.
    pub in_feet: bool,
    /// Width, length and height of the opening; below zero for round ones. [m]
    pub opening: [f64; 3],
    /// Power. [W]
    pub watts: f64,
    /// How the planes make the whole.
    pub symmetry: Symmetry,
    /// Vertical angles, ascending. [rad]
    pub vertical: Vec<f64>,
    /// Horizontal angles, ascending. [rad]
    pub horizontal: Vec<f64>,
    /// Intensities, plane after plane, all factors applied. [cd]
    pub(crate) candela: Vec<f64>,
}

/// Reads a file.
///
/// # Errors
/// [`IesError`] with the line, counted from 1.
pub fn read(text: &str) -> Result<Photometry, IesError> {
    read::read(text)
}
