CREATE TABLE `call_outcomes` (
	`shop_id` text NOT NULL,
	`call_id` text NOT NULL,
	`closed_at` integer NOT NULL,
	`release` text NOT NULL,
	`engine` text NOT NULL,
	`conclusion` text NOT NULL,
	`confirmed` text NOT NULL,
	`remedy` text,
	`predicted` text NOT NULL,
	`rates_id` text NOT NULL,
	PRIMARY KEY(`shop_id`, `closed_at`, `call_id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
