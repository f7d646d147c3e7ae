//! Solids: bodies in the yard at a date and an age, for picture, sun, light and the clash study.

use groundwright_geometry::Point3;
use groundwright_plan::ElementRef;

/// What a body does in the yard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Built: house, wall, edging above grade.
    Stands,
    /// Alive: crown or trunk.
    Grows,
    /// Under the ground: pipe, footing, root zone.
    Buried,
    /// The ground itself.
    Ground,
    /// A window.
    Glass,
}

/// The form of a body.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A prism: outline at the foot [m], from its z upward. Counter-clockwise.
    Prism {
        /// Outline at the foot. [m]
        outline: Vec<Point3>,
        /// Height. [m] Above zero.
        height: f64,
    },
    /// A crown: an upright body of revolution.
    Crown {
        /// Its form.
        form: CrownForm,
        /// Centre. [m]
        centre: Point3,
        /// Horizontal radius. [m]
        radius: f64,
        /// Half of the height. [m]
        half_height: f64,
    },
    /// An upright cylinder: trunk, root ball, root zone.
    Cylinder {
        /// Centre of the foot. [m]
        foot: Point3,
        /// Radius. [m]
        radius: f64,
        /// Height. [m]
        height: f64,
    },
    /// Flat faces in space, such as a roof's; they need not close a volume.
    Faces {
        /// Outlines of the faces, counter-clockwise from outside. [m]
        faces: Vec<Vec<Point3>>,
    },
    /// A ribbon of rectangular section along a line: edging, kerb, trench.
    Ribbon {
        /// Centre line at the foot. [m]
        line: Vec<Point3>,
        /// Width. [m]
        width: f64,
        /// Height. [m]
        height: f64,
    },
}

/// The form of a crown between its lowest leaves and its top.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CrownForm {
    /// Widest at half its height.
    Ellipsoid,
    /// The upper half of an ellipsoid: widest at the foot.
    Dome,
    /// A point above a wide foot.
    Cone,
    /// Even sides.
    Cylinder,
    /// A paraboloid on its tip: widest at the top.
    Vase,
}

/// A body in the yard.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Whose body it is.
    pub subject: ElementRef,
    /// Which of the subject's bodies, from 0.
    pub ordinal: u32,
    /// What it does.
    pub role: Role,
    /// Its form and place.
    pub body: Body,
    /// What it is made of: a stock id, a taxon, or a material word.
    pub material: String,
    /// Share of direct light that passes, 0 to 1.
    pub transmittance: f64,
}
