CREATE TABLE `profiles` (
	`shop_id` text NOT NULL,
	`name` text NOT NULL,
	`sha256` text NOT NULL,
	`body` text NOT NULL,
	`updated_at` integer NOT NULL,
	PRIMARY KEY(`shop_id`, `name`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
