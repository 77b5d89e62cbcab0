//! The one binary of whole-system tests. What goes where: `room` rehearsals over sockets, `hostile` bad input,
//! `storage` what survives.
