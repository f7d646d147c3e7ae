//! Pieces of edging on a length.

/// Pieces and stakes for a length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PieceCount {
    /// Whole pieces, each lapped over the next.
    pub pieces: usize,
    /// Stakes.
    pub stakes: usize,
}

/// Why pieces cannot be counted.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PieceError {
    /// The length is not finite or below zero.
    #[error("the length is {0} m; expected a finite length, not below zero")]
    Length(f64),
    /// The lap leaves nothing of a piece.
    #[error(
        "a piece of {piece} m with a lap of {lap} m covers nothing; expected a lap shorter than the piece"
    )]
    Lap {
        /// Length of a piece. [m]
        piece: f64,
        /// Lap. [m]
        lap: f64,
    },
}

/// Whole pieces that cover a length, and their stakes.
///
/// # Arguments
/// - `length`: length to cover, waste included. [m]
/// - `piece`: length of a piece. [m]
/// - `lap`: overlap of neighbouring pieces. [m]
/// - `stakes`: stakes to a piece.
///
/// # Errors
/// A length that is not finite, or a lap as long as the piece.
///
/// # Source
/// Plane arithmetic: n pieces lapped n − 1 times cover n (piece − lap) + lap.
pub fn count_pieces(length: f64, piece: f64, lap: f64, stakes: u32) -> Result<PieceCount, PieceError> {
    if !(length.is_finite() && length >= 0.0) {
        return Err(PieceError::Length(length));
    }
    if !(piece.is_finite() && lap.is_finite() && lap >= 0.0 && piece > lap) {
        return Err(PieceError::Lap { piece, lap });
    }
    if length == 0.0 {
        return Ok(PieceCount { pieces: 0, stakes: 0 });
    }
    let pieces = ((length - lap) / (piece - lap) - 1e-9).ceil().max(1.0) as usize;
    Ok(PieceCount { pieces, stakes: pieces * stakes as usize })
}

#[cfg(test)]
mod tests {
    use super::count_pieces;
    use groundwright_units::constants::{FOOT, INCH};

    /// Worked by hand: 100 ft of 10 ft strips lapped 4 in: (100 − 1/3)/(10 − 1/3) = 10.31, so 11.
    #[test]
    fn a_hundred_feet_of_ten_foot_strips() {
        let count = count_pieces(100.0 * FOOT, 10.0 * FOOT, 4.0 * INCH, 4).unwrap();
        assert_eq!((count.pieces, count.stakes), (11, 44));
    }

    #[test]
    fn without_lap_whole_pieces_come_out_even() {
        assert_eq!(count_pieces(30.0 * FOOT, 10.0 * FOOT, 0.0, 0).unwrap().pieces, 3);
        assert_eq!(count_pieces(30.01 * FOOT, 10.0 * FOOT, 0.0, 0).unwrap().pieces, 4);
    }

    #[test]
    fn a_lap_as_long_as_the_piece_is_refused() {
        assert!(count_pieces(3.0, 1.0, 1.0, 0).is_err());
        assert!(count_pieces(f64::NAN, 1.0, 0.1, 0).is_err());
        assert_eq!(count_pieces(0.0, 1.0, 0.1, 3).unwrap().pieces, 0);
    }

    proptest::proptest! {
        /// The pieces cover the length, and one fewer would not.
        #[test]
        fn no_piece_too_few_or_too_many(length in 0.01..500.0f64, piece in 0.2..6.0f64, share in 0.0..0.9f64) {
            let lap = piece * share;
            let n = count_pieces(length, piece, lap, 0).unwrap().pieces as f64;
            let covered = |n: f64| n * (piece - lap) + lap;
            proptest::prop_assert!(covered(n) >= length - 1e-6);
            proptest::prop_assert!(n <= 1.0 || covered(n - 1.0) < length + 1e-6);
        }
    }
}
