# A file that was chosen, read by the page.

plan-file-large = { $file } has { $kb } kB; at most { $most } are taken. Is it a plan, or one part's music?
plan-file-empty = { $file } is empty. Save it again where it comes from, and choose it anew.
plan-file-unreadable = { $file } is no plan and no music: its letters cannot be read. If a program wrote it as text, save it there as UTF-8 and choose it again.
plan-file-chosen = { $file } is chosen. Nothing is changed until you bring it in.
plan-file-read = { $file } is in the field below. Nothing is changed until you bring it in.
