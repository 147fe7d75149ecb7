"""The nouns of the record, in the order in which they can be written: parents before children."""

from dataclasses import dataclass

from survey.tables import floor, sheet, site, stock
from survey.tables.entry import Entry
from survey.tables.row import Row


@dataclass(frozen=True, slots=True)
class Noun:
    """One kind of entry: its plural in paths and files, its fields, its table and the field that names its parent."""

    plural: str
    fields: type[Entry]
    table: type[Row]
    parent: str | None
    """Foreign key to the owning noun: `site_id`, `floor_id`, `pallet_id` or `reading_id`; None for a site."""


NOUNS: tuple[Noun, ...] = (
    Noun("sites", site.SiteFields, site.Site, None),
    Noun("contacts", site.ContactFields, site.Contact, "site_id"),
    Noun("access_points", site.AccessPointFields, site.AccessPoint, "site_id"),
    Noun("utilities", site.UtilityFields, site.Utility, "site_id"),
    Noun("water_supplies", site.WaterSupplyFields, site.WaterSupply, "site_id"),
    Noun("protection_systems", site.ProtectionSystemFields, site.ProtectionSystem, "site_id"),
    Noun("impairments", site.ImpairmentFields, site.Impairment, "site_id"),
    Noun("kit_items", site.KitItemFields, site.KitItem, "site_id"),
    Noun("walkthroughs", site.WalkthroughFields, site.Walkthrough, "site_id"),
    Noun("floors", floor.FloorFields, floor.Floor, "site_id"),
    Noun("outdoor_surfaces", floor.OutdoorSurfaceFields, floor.OutdoorSurface, "floor_id"),
    Noun("walls", floor.WallFields, floor.Wall, "floor_id"),
    Noun("doors", floor.DoorFields, floor.Door, "floor_id"),
    Noun("bunds", floor.BundFields, floor.Bund, "floor_id"),
    Noun("sumps", floor.SumpFields, floor.Sump, "floor_id"),
    Noun("drains", floor.DrainFields, floor.Drain, "floor_id"),
    Noun("pipes", floor.PipeFields, floor.Pipe, "floor_id"),
    Noun("levels", floor.LevelFields, floor.Level, "floor_id"),
    Noun("racks", floor.RackFields, floor.Rack, "floor_id"),
    Noun("heat_sources", floor.HeatSourceFields, floor.HeatSource, "floor_id"),
    Noun("water_ingress", floor.WaterIngressFields, floor.WaterIngress, "floor_id"),
    Noun("storage_zones", floor.StorageZoneFields, floor.StorageZone, "floor_id"),
    Noun("sheet_products", sheet.SheetProductFields, sheet.SheetProduct, "site_id"),
    Noun("pallets", stock.PalletFields, stock.Pallet, "floor_id"),
    Noun("readings", stock.ReadingFields, stock.Reading, "pallet_id"),
    Noun("drums", stock.DrumFields, stock.Drum, "reading_id"),
    Noun("photos", site.PhotoFields, site.Photo, "site_id"),
)

BY_PLURAL: dict[str, Noun] = {noun.plural: noun for noun in NOUNS}
