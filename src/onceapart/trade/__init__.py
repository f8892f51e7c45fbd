"""Shipped knowledge of the trade: recipes for common jobs, and applying them to the cars of a workshop."""

from onceapart.trade.apply import apply_recipes
from onceapart.trade.describe import describe_recipe, recipe_line, recipe_text
from onceapart.trade.fitting import FittedAccess, FittedRecipe, all_access, fit_recipe
from onceapart.trade.jobs import FittedWorkshop, fit_workshop
from onceapart.trade.library import Library, load_recipe, load_recipe_file, recipe_ids
from onceapart.trade.schema import Recipe
from onceapart.trade.trouble import MetFastener, Spreads, fasteners_of, spreads_of

__all__ = [
    "FittedAccess",
    "FittedRecipe",
    "FittedWorkshop",
    "Library",
    "MetFastener",
    "Recipe",
    "Spreads",
    "all_access",
    "apply_recipes",
    "describe_recipe",
    "fasteners_of",
    "fit_recipe",
    "fit_workshop",
    "load_recipe",
    "load_recipe_file",
    "recipe_ids",
    "recipe_line",
    "recipe_text",
    "spreads_of",
]
