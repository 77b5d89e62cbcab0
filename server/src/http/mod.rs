//! Pages, sockets and static files. It must know no rule of a rehearsal and no SQL.
