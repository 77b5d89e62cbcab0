# Was mehr als eine Seite sagt.
list-and = { $first } und { $last }
languages-label = Sprache
