"""The bar as a map: centre line, sections, bend effects, material, mesh."""
