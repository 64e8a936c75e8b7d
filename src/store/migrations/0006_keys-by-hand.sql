-- Keys of the time before ids get one each.
UPDATE `api_keys` SET `id` = 'key-' || lower(hex(randomblob(8))) WHERE `id` IS NULL;
