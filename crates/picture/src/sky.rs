//! Sun, sky and what is left of it at night.
//!
//! - Sky by day: Preetham, Shirley and Smits 1999, "A practical analytic model for daylight": five
//!   numbers of Perez for luminance and chromaticity, each linear in the turbidity (coefficients from
//!   memory). Its luminance is scaled so that level ground receives what the Illuminating Engineering
//!   Society gives for a clear sky, 800 + 15500 √sin h lx (from memory): alone the model gives twice as
//!   much under a low sun.
//! - Sun: illuminance square to it 127.5 klx exp(−0.21 / sin h), of the same handbook (from memory); its colour from the losses of the same paper.
//! - Overcast: the traditional standard overcast sky (ISO 15469): (1 + 2 sin h) / 3 of the zenith, by the
//!   illuminance that it gives.
//! - Twilight and night: even, by the illuminance that it gives on level ground.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use glam::Vec3A;

use crate::colour::{Colour, luminance, of_chromaticity, of_temperature};

/// The sun.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Towards it, of length 1.
    pub direction: Vec3A,
    /// Illuminance square to it. [lx] As a colour.
    pub illuminance: Colour,
    /// Layer to which it is credited.
    pub layer: u16,
}

/// Half of the angle under which the sun is seen. [rad]
pub(crate) const SUN_RADIUS: f32 = 0.004_654;

/// What the sky gives in each direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sky {
    /// The same everywhere above. [cd/m²]
    Even(Colour),
    /// Overcast, by the luminance of its zenith. [cd/m²]
    Overcast(Colour),
    /// Clear, by Preetham and others.
    Clear(Clear),
}

/// What is needed of a clear sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clear {
    sun: Vec3A,
    sun_zenith: f64,
    /// Perez numbers for Y, x, y.
    perez: [[f64; 5]; 3],
    /// Zenith: luminance [cd/m²], x, y.
    zenith: [f64; 3],
}

/// Sky and sun; black where there is none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Heaven {
    /// The sky with its layer.
    pub sky: Option<(Sky, u16)>,
    /// The sun.
    pub sun: Option<Sun>,
}

/// Why there is no such sky.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SkyFault {
    /// The sun is not up.
    #[error("the sun stands at {0:.1}°; a clear sky by day needs it above the horizon")]
    SunDown(f64),
    /// A turbidity that the model does not know.
    #[error("turbidity is {0}; expected 1.9 (very clear) to 10 (hazy)")]
    Turbidity(f64),
}

impl Sun {
    /// The sun through a clear air.
    ///
    /// # Errors
    /// [`SkyFault::SunDown`] unless it stands above the horizon.
    pub fn clear(direction: Vec3A, turbidity: f64, layer: u16) -> Result<Self, SkyFault> {
        let height = f64::from(direction.z).clamp(-1.0, 1.0).asin();
        if height <= 0.0 {
            return Err(SkyFault::SunDown(height.to_degrees()));
        }
        let lux = 127_500.0 * (-0.21 / height.sin()).exp();
        Ok(Self { direction, illuminance: beam_colour(height, turbidity) * lux as f32, layer })
    }
}

/// Colour of the sun's beam, of luminance 1: losses in the air at 610, 550 and 465 nm.
fn beam_colour(height: f64, turbidity: f64) -> Colour {
    let zenith_deg = 90.0 - height.to_degrees();
    // Relative air mass, Kasten 1965 as in the paper.
    let mass = 1.0 / (height.sin() + 0.15 * (93.885 - zenith_deg).powf(-1.253));
    let haze = 0.046_08 * turbidity - 0.045_86;
    let passed = |micrometres: f64, ozone: f64| {
        let rayleigh = 0.008_735 * micrometres.powf(-4.08);
        let aerosol = haze * micrometres.powf(-1.3);
        (-mass * (rayleigh + aerosol + 0.35 * ozone)).exp()
    };
    let colour =
        Vec3A::new(passed(0.61, 0.122) as f32, passed(0.55, 0.085) as f32, passed(0.465, 0.009) as f32);
    colour / luminance(colour).max(1e-6)
}

impl Sky {
    /// A clear sky.
    ///
    /// # Arguments
    /// - `sun`: towards it, of length 1, above the horizon.
    /// - `turbidity`: 2 very clear, 3 clear, 6 hazy.
    ///
    /// # Errors
    /// [`SkyFault`].
    pub fn clear(sun: Vec3A, turbidity: f64) -> Result<Self, SkyFault> {
        let height = f64::from(sun.z).clamp(-1.0, 1.0).asin();
        if height <= 0.0 {
            return Err(SkyFault::SunDown(height.to_degrees()));
        }
        if !(1.9..=10.0).contains(&turbidity) {
            return Err(SkyFault::Turbidity(turbidity));
        }
        let (t, s) = (turbidity, FRAC_PI_2 - height);
        let line = |pairs: [(f64, f64); 5]| pairs.map(|(slope, start)| slope * t + start);
        let perez = [
            line([
                (0.1787, -1.4630),
                (-0.3554, 0.4275),
                (-0.0227, 5.3251),
                (0.1206, -2.5771),
                (-0.0670, 0.3703),
            ]),
            line([
                (-0.0193, -0.2592),
                (-0.0665, 0.0008),
                (-0.0004, 0.2125),
                (-0.0641, -0.8989),
                (-0.0033, 0.0452),
            ]),
            line([
                (-0.0167, -0.2608),
                (-0.0950, 0.0092),
                (-0.0079, 0.2102),
                (-0.0441, -1.6537),
                (-0.0109, 0.0529),
            ]),
        ];
        let chi = (4.0 / 9.0 - t / 120.0) * (PI - 2.0 * s);
        let kilocandela = (4.0453 * t - 4.9710) * chi.tan() - 0.2155 * t + 2.4192;
        let chromaticity = |rows: [[f64; 4]; 3]| {
            let cubic = |row: [f64; 4]| ((row[0] * s + row[1]) * s + row[2]) * s + row[3];
            t * t * cubic(rows[0]) + t * cubic(rows[1]) + cubic(rows[2])
        };
        let x = chromaticity([
            [0.001_66, -0.003_75, 0.002_09, 0.0],
            [-0.029_03, 0.063_77, -0.032_02, 0.003_94],
            [0.116_93, -0.211_96, 0.060_52, 0.258_86],
        ]);
        let y = chromaticity([
            [0.002_75, -0.006_10, 0.003_17, 0.0],
            [-0.042_14, 0.089_70, -0.041_53, 0.005_16],
            [0.153_46, -0.267_56, 0.066_70, 0.266_88],
        ]);
        let zenith = [kilocandela.max(0.05) * 1000.0, x, y];
        let mut clear = Clear { sun, sun_zenith: s, perez, zenith };
        clear.zenith[0] *= (800.0 + 15_500.0 * height.sin().sqrt()) / clear.level();
        Ok(Self::Clear(clear))
    }

    /// A standard overcast sky that gives an illuminance on level ground. [lx]
    pub fn overcast(lux: f64) -> Self {
        // Level illuminance is 7 π / 9 of the zenith's luminance.
        Self::Overcast(of_temperature(6500.0) * (lux * 9.0 / (7.0 * PI)) as f32)
    }

    /// An even sky of a colour that gives an illuminance on level ground. [lx]
    pub fn even(lux: f64, colour: Colour) -> Self {
        Self::Even(colour * (lux / PI) as f32)
    }

    /// Luminance towards a direction of length 1; below the horizon nothing. [cd/m²]
    pub fn luminance(&self, direction: Vec3A) -> Colour {
        if direction.z <= 0.0 {
            return Vec3A::ZERO;
        }
        match self {
            Self::Even(colour) => *colour,
            Self::Overcast(zenith) => *zenith * ((1.0 + 2.0 * direction.z) / 3.0),
            Self::Clear(clear) => clear.luminance(direction),
        }
    }
}

impl Clear {
    /// Illuminance that it gives on level ground: 90 rings of 180 directions. [lx]
    fn level(&self) -> f64 {
        let (rings, around) = (90, 180);
        let mut sum = 0.0;
        for i in 0..rings {
            // Rings of even weight by sine squared.
            let square = (f64::from(i) + 0.5) / f64::from(rings);
            let (sine, cosine) = (square.sqrt(), (1.0 - square).sqrt());
            for j in 0..around {
                let turn = TAU * (f64::from(j) + 0.5) / f64::from(around);
                let direction =
                    Vec3A::new((sine * turn.cos()) as f32, (sine * turn.sin()) as f32, cosine as f32);
                sum += f64::from(luminance(self.luminance(direction)));
            }
        }
        sum * PI / f64::from(rings * around)
    }

    fn luminance(&self, direction: Vec3A) -> Colour {
        // The model rises without bound at the horizon; it is held at two degrees.
        let cosine = f64::from(direction.z).max(0.035);
        let between = f64::from(direction.dot(self.sun)).clamp(-1.0, 1.0);
        let value = |i: usize| {
            let at = perez(&self.perez[i], cosine, between);
            self.zenith[i] * at / perez(&self.perez[i], 1.0, self.sun_zenith.cos())
        };
        of_chromaticity(value(1), value(2)) * value(0).max(0.0) as f32
    }
}

/// Perez' form: 1 + A exp(B / cos θ) by 1 + C exp(D γ) + E cos² γ.
fn perez(p: &[f64; 5], cosine: f64, between: f64) -> f64 {
    let gamma = between.acos();
    (1.0 + p[0] * (p[1] / cosine).exp()) * (1.0 + p[2] * (p[3] * gamma).exp() + p[4] * between * between)
}

impl Heaven {
    /// What light comes at night and in twilight on level ground, by the height of the sun. [lx]
    ///
    /// # Source
    /// Round figures of astronomy handbooks, from memory: 400 lx at sunset, 3.4 at the end of civil
    /// twilight, 0.008 nautical, 0.0006 astronomical; linear in the logarithm between.
    pub fn twilight(sun_height_deg: f64) -> f64 {
        const STEPS: [(f64, f64); 5] =
            [(0.0, 400.0), (-6.0, 3.4), (-12.0, 0.008), (-18.0, 0.0006), (-90.0, 0.0006)];
        let at = sun_height_deg.clamp(-90.0, 0.0);
        for pair in STEPS.windows(2) {
            let ((a, high), (b, low)) = (pair[0], pair[1]);
            if at >= b {
                let share: f64 = (a - at) / (a - b);
                return (high.ln() + share * (low.ln() - high.ln())).exp();
            }
        }
        STEPS[4].1
    }
}
