CREATE TABLE `learning_pools` (
	`month` integer PRIMARY KEY NOT NULL,
	`sha256` text NOT NULL,
	`body` text NOT NULL
);
--> statement-breakpoint
CREATE TABLE `learning_settings` (
	`shop_id` text PRIMARY KEY NOT NULL,
	`version` integer NOT NULL,
	`learning` integer NOT NULL,
	`pooling` integer NOT NULL,
	`counts_from` integer,
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `learning_shares` (
	`shop_id` text PRIMARY KEY NOT NULL,
	`counts` text NOT NULL,
	`given` text,
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `rate_sets` (
	`shop_id` text NOT NULL,
	`id` text NOT NULL,
	`sha256` text NOT NULL,
	`as_of` integer NOT NULL,
	`through` integer NOT NULL,
	`fingerprint` text NOT NULL,
	`body` text NOT NULL,
	PRIMARY KEY(`shop_id`, `id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `rate_sets_newest` ON `rate_sets` (`shop_id`,`through`);