//! Pictures of a yard from the light itself.
//!
//! - In: a [`Scene`] of meshes, instances and round bodies with their materials; point lamps, lit
//!   faces, sun and sky; a [`Camera`]. Out: luminance in cd/m² for each pixel and each source of light
//!   ([`Film`]), and illuminance at places ([`probe`]).
//! - Method: path tracing. Point lamps are summed without chance at what the eye sees first; light that
//!   bounces is sampled, and credited to the lamp that it came from, so that zones and dimming recombine
//!   in linear light without rendering again.
//! - Units: candela, lux, candela to the square metre; colour is linear light in the primaries of sRGB,
//!   scaled so that its luminance is in these units.
//! - Assumes diffuse surfaces, thin leaves that pass light, and smooth panes; no wet gloss, no fog.
//! - Not here: what stands in a yard (`groundwright-job` puts the scene together), files.

mod camera;
mod colour;
mod denoise;
mod film;
mod guide;
mod lamp;
mod material;
mod mesh;
mod probe;
mod render;
mod resection;
mod round;
mod sampler;
mod scene;
mod sky;
mod tone;
mod trace;

pub use camera::{Camera, CameraFault, Lens};
pub use colour::{Colour, WHITE, luminance, of_temperature, to_srgb};
pub use denoise::smoothed;
pub use film::{Film, Pass, Picture};
pub use lamp::{Lamp, LampFault, Spread};
pub use material::{Material, MaterialMap, Pattern, Surface};
pub use mesh::{Mesh, MeshFault};
pub use probe::{Bounced, Place, Probed, probe};
pub use render::{Bounces, render};
pub use resection::{Resected, ResectionFault, SeenPoint, resection};
pub use round::Round;
pub use scene::{Hit, Instance, Scene, SceneFault, SceneParts};
pub use sky::{Heaven, Sky, SkyFault, Sun};
pub use tone::{Tone, display};
