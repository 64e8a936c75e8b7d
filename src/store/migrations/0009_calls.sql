CREATE TABLE `call_answers` (
	`shop_id` text NOT NULL,
	`call_id` text NOT NULL,
	`seq` integer NOT NULL,
	`body` text NOT NULL,
	PRIMARY KEY(`shop_id`, `call_id`, `seq`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `call_concepts` (
	`shop_id` text NOT NULL,
	`concept` text NOT NULL,
	`call_id` text NOT NULL,
	PRIMARY KEY(`shop_id`, `concept`, `call_id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `call_concepts_call` ON `call_concepts` (`shop_id`,`call_id`);--> statement-breakpoint
CREATE TABLE `call_events` (
	`shop_id` text NOT NULL,
	`call_id` text NOT NULL,
	`seq` integer NOT NULL,
	`at` integer NOT NULL,
	`kind` text NOT NULL,
	`body` text NOT NULL,
	PRIMARY KEY(`shop_id`, `call_id`, `seq`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `call_settings` (
	`shop_id` text PRIMARY KEY NOT NULL,
	`retention_days` integer NOT NULL,
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `call_tombstones` (
	`shop_id` text NOT NULL,
	`call_id` text NOT NULL,
	`erased_at` integer NOT NULL,
	`reason` text NOT NULL,
	PRIMARY KEY(`shop_id`, `call_id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE TABLE `calls` (
	`shop_id` text NOT NULL,
	`call_id` text NOT NULL,
	`seq` integer NOT NULL,
	`status` text NOT NULL,
	`release` text NOT NULL,
	`opened_at` integer NOT NULL,
	`changed_at` integer NOT NULL,
	`site_ref` text,
	`contact_ref` text,
	`callback_due` integer,
	PRIMARY KEY(`shop_id`, `call_id`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `calls_opened` ON `calls` (`shop_id`,`opened_at`,`call_id`);--> statement-breakpoint
CREATE INDEX `calls_status` ON `calls` (`shop_id`,`status`,`opened_at`,`call_id`);--> statement-breakpoint
CREATE INDEX `calls_site` ON `calls` (`shop_id`,`site_ref`,`opened_at`,`call_id`);--> statement-breakpoint
CREATE INDEX `calls_contact` ON `calls` (`shop_id`,`contact_ref`,`opened_at`,`call_id`);--> statement-breakpoint
CREATE INDEX `calls_due` ON `calls` (`shop_id`,`callback_due`);--> statement-breakpoint
CREATE INDEX `calls_changed` ON `calls` (`shop_id`,`changed_at`);--> statement-breakpoint
CREATE TABLE `idempotency_keys` (
	`shop_id` text NOT NULL,
	`key` text NOT NULL,
	`request_hash` text NOT NULL,
	`response_ref` text NOT NULL,
	`created_at` integer NOT NULL,
	PRIMARY KEY(`shop_id`, `key`),
	FOREIGN KEY (`shop_id`) REFERENCES `shops`(`id`) ON UPDATE no action ON DELETE no action
);
--> statement-breakpoint
CREATE INDEX `idempotency_age` ON `idempotency_keys` (`shop_id`,`created_at`);--> statement-breakpoint
CREATE INDEX `idempotency_ref` ON `idempotency_keys` (`shop_id`,`response_ref`);