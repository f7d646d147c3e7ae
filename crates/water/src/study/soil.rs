//! What a soil texture holds and takes in.

use groundwright_plan::SoilTexture;

/// Millimetres an hour. [m/s]
const MILLIMETRE_PER_HOUR: f64 = 1e-3 / 3600.0;

/// A soil as its roots and its sprinklers see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soil {
    /// Water content at field capacity, share of the volume.
    pub field_capacity: f64,
    /// Water content at the wilting point, share of the volume.
    pub wilting_point: f64,
    /// Steady intake on the level. [m/s]
    pub intake: f64,
    /// Diameter of ground that a single emitter wets. [m]
    pub bulb: f64,
}

impl Soil {
    /// Middle values of a texture.
    ///
    /// # Source
    /// Water contents: FAO Irrigation and Drainage Paper 56, table 19, middles of its ranges, from memory;
    /// classes that it lacks lie between their neighbours. Intake and wetted diameter: ranges that
    /// handbooks print, from memory.
    pub fn of(texture: SoilTexture) -> Self {
        use SoilTexture as T;
        let (field, wilting, intake, bulb) = match texture {
            T::Sand => (0.12, 0.045, 40.0, 0.3),
            T::LoamySand => (0.15, 0.065, 30.0, 0.45),
            T::SandyLoam => (0.23, 0.11, 20.0, 0.6),
            T::Loam => (0.25, 0.12, 12.0, 0.9),
            T::SiltLoam => (0.29, 0.15, 9.0, 1.0),
            T::Silt => (0.32, 0.17, 8.0, 1.0),
            T::SandyClayLoam => (0.27, 0.17, 8.0, 1.0),
            T::ClayLoam => (0.32, 0.19, 6.0, 1.1),
            T::SiltyClayLoam => (0.335, 0.205, 5.0, 1.2),
            T::SandyClay => (0.33, 0.22, 4.0, 1.2),
            T::SiltyClay => (0.36, 0.23, 3.5, 1.3),
            T::Clay => (0.36, 0.22, 3.0, 1.4),
        };
        let intake = intake * MILLIMETRE_PER_HOUR;
        Self { field_capacity: field, wilting_point: wilting, intake, bulb }
    }

    /// Intake on a slope. [m/s]
    ///
    /// # Source
    /// Four fifths from 5 %, three fifths from 8 %, two fifths from 12 %: the steps of published intake
    /// tables, from memory.
    pub fn intake_on(&self, slope: f64) -> f64 {
        let share = match slope {
            s if s > 0.12 => 0.4,
            s if s > 0.08 => 0.6,
            s if s > 0.05 => 0.8,
            _ => 1.0,
        };
        self.intake * share
    }
}
