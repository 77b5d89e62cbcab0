# What more than one page says.
list-and = { $first } and { $last }
languages-label = Language
