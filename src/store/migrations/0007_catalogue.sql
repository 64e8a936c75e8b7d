CREATE TABLE `catalogue_import_parts` (
	`shop_id` text NOT NULL,
	`import_id` text NOT NULL,
	`part` integer NOT NULL,
	`upload_id` text,
	`report` text,
	PRIMARY KEY(`shop_id`, `import_id`, `part`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `catalogue_imports` (
	`shop_id` text NOT NULL,
	`id` text NOT NULL,
	`status` text NOT NULL,
	`options` text NOT NULL,
	`opened_at` integer NOT NULL,
	`touched_at` integer NOT NULL,
	`ended_at` integer,
	`outcome` text,
	PRIMARY KEY(`shop_id`, `id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `catalogue_staged` (
	`shop_id` text NOT NULL,
	`import_id` text NOT NULL,
	`upload_id` text NOT NULL,
	`row` integer NOT NULL,
	`line` integer NOT NULL,
	`is_refused` integer NOT NULL,
	`sku` text NOT NULL,
	`part_class` text NOT NULL,
	`title` text NOT NULL,
	`price_minor` integer,
	`currency` text,
	`stock` integer,
	`pack_quantity` integer,
	`attributes` text NOT NULL,
	`content_hash` text NOT NULL,
	`nominal_voltage_v` real,
	`capacity_ah` real,
	`length_mm` real,
	`width_mm` real,
	`height_mm` real,
	`terminal` text,
	`chemistry` text,
	`resistance_ohm` real,
	`power_w` real,
	`tolerance_fraction` real,
	`voltage_kind` text,
	`input_voltage_v` real,
	`output_voltage_v` real,
	`apparent_power_va` real,
	`current_a` real,
	`rated_current_a` real,
	`fuse_speed` text,
	`size_name` text,
	`family_key` text,
	`band_mhz` real,
	`gtin14` text,
	`mpn` text,
	`brand` text,
	`made_on` text,
	`is_discontinued` integer,
	`successor_sku` text,
	`needs_installer` integer,
	`needs_activation` integer,
	`read_from_title` text,
	`title_words` text NOT NULL,
	`number_words` text NOT NULL,
	`other_words` text NOT NULL,
	PRIMARY KEY(`shop_id`, `import_id`, `upload_id`, `row`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `staged_sku` ON `catalogue_staged` (`shop_id`,`import_id`,`sku`);--> statement-breakpoint
CREATE TABLE `catalogue_vocabulary` (
	`shop_id` text NOT NULL,
	`word` text NOT NULL,
	PRIMARY KEY(`shop_id`, `word`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
PRAGMA foreign_keys=OFF;--> statement-breakpoint
CREATE TABLE `__new_catalogue_items` (
	`id` integer PRIMARY KEY NOT NULL,
	`shop_id` text NOT NULL,
	`sku` text NOT NULL,
	`part_class` text NOT NULL,
	`title` text NOT NULL,
	`price_minor` integer,
	`currency` text,
	`stock` integer,
	`pack_quantity` integer,
	`attributes` text NOT NULL,
	`content_hash` text NOT NULL,
	`nominal_voltage_v` real,
	`capacity_ah` real,
	`length_mm` real,
	`width_mm` real,
	`height_mm` real,
	`terminal` text,
	`chemistry` text,
	`resistance_ohm` real,
	`power_w` real,
	`tolerance_fraction` real,
	`voltage_kind` text,
	`input_voltage_v` real,
	`output_voltage_v` real,
	`apparent_power_va` real,
	`current_a` real,
	`rated_current_a` real,
	`fuse_speed` text,
	`size_name` text,
	`family_key` text,
	`band_mhz` real,
	`gtin14` text,
	`mpn` text,
	`brand` text,
	`made_on` text,
	`is_discontinued` integer,
	`successor_sku` text,
	`needs_installer` integer,
	`needs_activation` integer,
	`read_from_title` text,
	`import_id` text,
	`updated_at` integer DEFAULT 0 NOT NULL,
	`retired_at` integer,
	`indexed_as` integer DEFAULT 0 NOT NULL,
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
INSERT INTO `__new_catalogue_items`("shop_id", "sku", "part_class", "title", "price_minor", "currency", "stock", "pack_quantity", "attributes", "content_hash", "nominal_voltage_v", "capacity_ah", "length_mm", "width_mm", "height_mm", "terminal", "chemistry", "resistance_ohm", "power_w", "tolerance_fraction", "voltage_kind", "input_voltage_v", "output_voltage_v", "apparent_power_va", "current_a", "rated_current_a", "fuse_speed", "size_name", "family_key", "band_mhz") SELECT "shop_id", "sku", "part_class", "title", "price_minor", "currency", "stock", "pack_quantity", "attributes", "content_hash", "nominal_voltage_v", "capacity_ah", "length_mm", "width_mm", "height_mm", "terminal", "chemistry", "resistance_ohm", "power_w", "tolerance_fraction", "voltage_kind", "input_voltage_v", "output_voltage_v", "apparent_power_va", "current_a", "rated_current_a", "fuse_speed", "size_name", "family_key", "band_mhz" FROM `catalogue_items` ORDER BY "shop_id", "sku";--> statement-breakpoint
DROP TABLE `catalogue_items`;--> statement-breakpoint
ALTER TABLE `__new_catalogue_items` RENAME TO `catalogue_items`;--> statement-breakpoint
PRAGMA foreign_keys=ON;--> statement-breakpoint
CREATE UNIQUE INDEX `items_sku` ON `catalogue_items` (`shop_id`,`sku`);--> statement-breakpoint
CREATE INDEX `items_gtin` ON `catalogue_items` (`shop_id`,`gtin14`) WHERE gtin14 is not null;--> statement-breakpoint
CREATE INDEX `items_mpn` ON `catalogue_items` (`shop_id`,`mpn`) WHERE mpn is not null;--> statement-breakpoint
CREATE INDEX `items_unindexed` ON `catalogue_items` (`shop_id`) WHERE indexed_as = 0;--> statement-breakpoint
CREATE INDEX `items_narrow` ON `catalogue_items` (`shop_id`,`part_class`,`retired_at`,`capacity_ah`,`nominal_voltage_v`,`length_mm`,`width_mm`,`height_mm`,`terminal`,`chemistry`,`resistance_ohm`,`power_w`,`tolerance_fraction`,`voltage_kind`,`input_voltage_v`,`output_voltage_v`,`apparent_power_va`,`current_a`,`rated_current_a`,`fuse_speed`,`size_name`,`family_key`,`band_mhz`,`price_minor`,`stock`,`pack_quantity`,`sku`);