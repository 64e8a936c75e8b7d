CREATE TABLE `key_usage` (
	`shop_id` text NOT NULL,
	`key_id` text NOT NULL,
	`minute` integer NOT NULL,
	`minute_count` integer NOT NULL,
	`day` integer NOT NULL,
	`day_count` integer NOT NULL,
	PRIMARY KEY(`shop_id`, `key_id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
ALTER TABLE `api_keys` ADD `id` text;--> statement-breakpoint
ALTER TABLE `api_keys` ADD `label` text;--> statement-breakpoint
ALTER TABLE `api_keys` ADD `last_used_at` integer;--> statement-breakpoint
ALTER TABLE `api_keys` ADD `replaced_by` text;--> statement-breakpoint
CREATE UNIQUE INDEX `keys_id` ON `api_keys` (`shop_id`,`id`);--> statement-breakpoint
CREATE INDEX `keys_prefix` ON `api_keys` (`prefix`);