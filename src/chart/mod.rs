//! Charts as SVG: drawn with attributes alone, so that they stand in a page that allows no styles and no scripts.

pub mod readings;
