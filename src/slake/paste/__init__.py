"""Laws only, one module per stage of the life: ingredients, lot, recipe, batch, flow, standing, drying."""
