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