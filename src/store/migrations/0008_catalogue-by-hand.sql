-- Words of the items by their id. Each word begins with its shop's id and a point, so that a search walks through the words
-- of one shop only; the index keeps no text of its own.
CREATE VIRTUAL TABLE `catalogue_words` USING fts5(title, numbers, others, content='', contentless_delete=1, tokenize="unicode61 remove_diacritics 0 tokenchars '-._'");
