CREATE TABLE `api_keys` (
	`hash` text PRIMARY KEY NOT NULL,
	`shop_id` text NOT NULL,
	`prefix` text NOT NULL,
	`scopes` text NOT NULL,
	`created_at` integer NOT NULL,
	`expires_at` integer,
	`revoked_at` integer,
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `catalogue_items` (
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
	PRIMARY KEY(`shop_id`, `sku`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `items_class` ON `catalogue_items` (`shop_id`,`part_class`);--> statement-breakpoint
CREATE INDEX `items_battery` ON `catalogue_items` (`shop_id`,`nominal_voltage_v`,`capacity_ah`,`length_mm`,`width_mm`,`height_mm`,`terminal`,`chemistry`,`price_minor`,`stock`,`pack_quantity`,`sku`) WHERE part_class = 'part-class/vrla-battery-12v';--> statement-breakpoint
CREATE TABLE `shops` (
	`id` text PRIMARY KEY NOT NULL,
	`created_at` integer NOT NULL
);
