//! Drawings, as complete SVG elements.
