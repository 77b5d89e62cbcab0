//! One running rehearsal: its rules, the numbers of the section, the words for people, and the loop that carries them out.
