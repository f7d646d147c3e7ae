//! Plants and materials as bodies.

mod plants;
