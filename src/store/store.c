/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file store.c  Opens and closes the one file: where it lies, who may read it, whether it is ours. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/internal.h"

static const char OPENING[] = "Opening the store";

enum status store_default_path(char *out, size_t cap, struct err *e)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    int n;
    if (data && data[0] == '/') /* the XDG rules: a relative one is ignored */
        n = snprintf(out, cap, "%s/stillarm/store.db", data);
    else if (home && home[0] == '/')
        n = snprintf(out, cap, "%s/.local/share/stillarm/store.db", home);
    else
        return err_set(e, ST_NOT_FOUND,
                       "There is no place for the store: neither XDG_DATA_HOME nor HOME names a folder. Set one of "
                       "them, or name the store with --db FILE.");
    if (n < 0 || (size_t)n >= cap)
        return err_set(e, ST_RANGE, "The path of the data folder is too long (%d bytes). Name the store with --db FILE.",
                       n);
    return ST_OK;
}

/** The folder that path lies in. */
static void folder_of(const char *path, char out[STORE_PATH_CAP])
{
    snprintf(out, STORE_PATH_CAP, "%s", path);
    char *slash = strrchr(out, '/');
    if (!slash)
        snprintf(out, STORE_PATH_CAP, ".");
    else if (slash == out)
        out[1] = '\0';
    else
        *slash = '\0';
}

static void sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return; /* some file systems do not let folders be opened: nothing more can be done */
    (void)fsync(fd);
    (void)close(fd);
}

static enum status say_system(struct store *st, int system_errno, struct err *e)
{
    if (system_errno == EACCES || system_errno == EPERM)
        return err_set(e, ST_PERMISSION,
                       "The system does not let you use the store %s. Ask the owner of the file or of its folder, or "
                       "name another store with --db FILE.",
                       st->shown);
    if (system_errno == ENOTDIR)
        return err_set(e, ST_IO,
                       "The store %s cannot be there: a part of that path is a file and not a folder. Name another "
                       "place with --db FILE.",
                       st->shown);
    return store_say(st->shown, SQLITE_IOERR, system_errno, OPENING, e);
}

/** Create the missing folders of path, only for their owner: what is in them is about people. */
static enum status make_folders(struct store *st, struct err *e)
{
    char folder[STORE_PATH_CAP];
    folder_of(st->path, folder);
    for (char *c = folder + 1; folder[0]; c++) {
        if (*c != '/' && *c != '\0')
            continue;
        char was = *c;
        *c = '\0';
        if (mkdir(folder, 0700) == 0) {
            char parent[STORE_PATH_CAP];
            folder_of(folder, parent);
            sync_folder(parent);
        } else if (errno != EEXIST && errno != EISDIR && (was == '\0' || errno != EROFS)) {
            /* asked of a folder that exists, a read-only medium may answer EROFS: the last part decides */
            return say_system(st, errno, e);
        }
        *c = was;
        if (was == '\0')
            break;
    }
    return ST_OK;
}

/** Create the file if it is missing, readable by its owner alone: SQLite gives the files beside it the same mode. */
static enum status make_file(struct store *st, struct err *e)
{
    int fd = open(st->path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0)
        return errno == EEXIST ? ST_OK : say_system(st, errno, e);
    (void)close(fd); /* no other connection of ours can hold a lock on a file that was not there */
    char folder[STORE_PATH_CAP];
    folder_of(st->path, folder);
    sync_folder(folder);
    return ST_OK;
}

static int64_t size_beside(const struct store *st, const char *suffix)
{
    char beside[STORE_PATH_CAP + 8];
    struct stat s;
    snprintf(beside, sizeof beside, "%s%s", st->path, suffix);
    return stat(beside, &s) == 0 ? (int64_t)s.st_size : -1;
}

/** Is there a regular file that we may use in this way? Never opens it: closing would drop SQLite's locks on it. */
static enum status look_at_file(struct store *st, enum store_mode mode, struct err *e)
{
    struct stat s;
    if (stat(st->path, &s) != 0) {
        if (errno != ENOENT)
            return say_system(st, errno, e);
        return err_set(e, ST_NOT_FOUND,
                       "There is no store at %s. Start a sitting to create one, or name the right file with --db FILE.",
                       st->shown);
    }
    if (!S_ISREG(s.st_mode))
        return err_set(e, ST_NOT_A_STORE, "%s is %s and not a store. Name a file with --db FILE.", st->shown,
                       S_ISDIR(s.st_mode) ? "a folder" : "a device or a pipe");
    if (s.st_size == 0 && size_beside(st, "-wal") > 0)
        return err_set(e, ST_CORRUPT,
                       "The store %s is empty, although the log beside it (-wal) is not: somebody cut it. Put both "
                       "files aside and go on with the latest backup.",
                       st->shown);
    if (s.st_size > 0 && s.st_size < 512) /* no database is so short, and SQLite takes one byte for none at all */
        return err_set(e, ST_NOT_A_STORE,
                       "%s is too short to be a store (%d bytes). Nothing in it was changed; name the right file with "
                       "--db FILE, or go on with the latest backup.",
                       st->shown, (int)s.st_size);
    if (s.st_size == 0 && mode == STORE_READ)
        return err_set(e, ST_NOT_FOUND, "The store %s is empty: nothing was recorded in it yet.", st->shown);
    if (faccessat(AT_FDCWD, st->path, R_OK, AT_EACCESS) != 0)
        return say_system(st, errno, e);
    char folder[STORE_PATH_CAP];
    folder_of(st->path, folder);
    if (mode == STORE_WRITE && (faccessat(AT_FDCWD, st->path, W_OK, AT_EACCESS) != 0 ||
                                faccessat(AT_FDCWD, folder, W_OK | X_OK, AT_EACCESS) != 0))
        return err_set(e, ST_READ_ONLY,
                       "The store %s can be read but not written: the file, its folder or the medium is read-only. "
                       "Give yourself the right to write both, or name another store with --db FILE.",
                       st->shown);
    if (mode == STORE_WRITE && (s.st_mode & 077) != 0 && s.st_uid == geteuid())
        (void)chmod(st->path, 0600); /* a copy put back from a backup comes with the mode of any file */
    return ST_OK;
}

/** path as a file: address that says that nothing will change it, so that no file beside it is needed. */
static bool immutable_address(const char *path, char *out, size_t cap)
{
    static const char HEX[] = "0123456789abcdef";
    size_t n = (size_t)snprintf(out, cap, "file:");
    for (const char *c = path; *c; c++) {
        unsigned char b = (unsigned char)*c;
        if (n + 4 >= cap)
            return false;
        if (b == '%' || b == '?' || b == '#' || b < 0x21 || b > 0x7E) {
            out[n++] = '%';
            out[n++] = HEX[b >> 4];
            out[n++] = HEX[b & 15];
        } else {
            out[n++] = (char)b;
        }
    }
    int more = snprintf(out + n, cap - n, "?immutable=1");
    return more > 0 && (size_t)more < cap - n;
}

static int ask_number(sqlite3 *db, const char *sql, int64_t *out)
{
    sqlite3_stmt *s = NULL;
    int rc = sqlite3_prepare_v2(db, sql, -1, &s, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_step(s);
    if (rc == SQLITE_ROW) {
        *out = sqlite3_column_int64(s, 0);
        rc = SQLITE_OK;
    }
    sqlite3_finalize(s);
    return rc == SQLITE_DONE ? SQLITE_ERROR : rc;
}

/** Does the file end within a page? While a log lies beside it, it may: the rest is then in the log. */
static bool is_cut(const struct store *st)
{
    int64_t page = 0, size = size_beside(st, "");
    return size_beside(st, "-wal") <= 0 && ask_number(st->db, "PRAGMA page_size", &page) == SQLITE_OK && page > 0 &&
           size > 0 && size % page != 0;
}

/** What identifies the file, all of one moment: another process may be making the store just now. */
static int ask_identity(sqlite3 *db, int64_t *tables, int64_t *application, int64_t *version)
{
    const bool is_alone = sqlite3_get_autocommit(db) != 0; /* else the caller's transaction holds the moment */
    int rc = is_alone ? sqlite3_exec(db, "BEGIN", NULL, NULL, NULL) : SQLITE_OK;
    if (rc == SQLITE_OK)
        rc = ask_number(db, "SELECT count(*) FROM sqlite_schema", tables);
    if (rc == SQLITE_OK)
        rc = ask_number(db, "PRAGMA application_id", application);
    if (rc == SQLITE_OK)
        rc = ask_number(db, "PRAGMA user_version", version);
    return rc;
}

/** Is the file ours, and of a version that we know? *version 0: a new, empty one. */
static enum status look_inside_held(struct store *st, int64_t *version, struct err *e)
{
    int64_t application = 0, tables = 0;
    *version = 0;
    if (ask_identity(st->db, &tables, &application, version) != SQLITE_OK)
        return store_fail(st, OPENING, e);
    if (is_cut(st))
        return store_say(st->shown, SQLITE_CORRUPT, 0, OPENING, e);
    bool is_new = application == 0 && *version == 0 && tables == 0;
    if (!is_new && application != STORE_APPLICATION_ID)
        return err_set(e, ST_NOT_A_STORE,
                       "%s is a database of another program and not a store. Nothing in it was changed; name the "
                       "right file with --db FILE.",
                       st->shown);
    if (*version > STORE_VERSION)
        return err_set(e, ST_NEWER,
                       "The store %s was written by a newer version of this program (store version %d, this program "
                       "knows up to %d). Use the newer program; nothing was changed.",
                       st->shown, (int)*version, STORE_VERSION);
    if (!is_new && (*version < 1 || tables == 0))
        return err_set(e, ST_CORRUPT,
                       "The store %s has our mark but not our tables. Put it aside and go on with the latest backup.",
                       st->shown);
    return ST_OK;
}

static enum status look_inside(struct store *st, int64_t *version, struct err *e)
{
    const bool is_alone = sqlite3_get_autocommit(st->db) != 0;
    const enum status status = look_inside_held(st, version, e);
    if (is_alone && !sqlite3_get_autocommit(st->db))
        (void)sqlite3_exec(st->db, "ROLLBACK", NULL, NULL, NULL); /* nothing was written in it */
    return status;
}

/** Write-ahead logging needs a moment alone with the file, for which SQLite itself does not wait. */
static enum status switch_to_wal(struct store *st, struct err *e)
{
    for (int waited_ms = 0;; waited_ms += 10) {
        sqlite3_stmt *s = NULL;
        bool is_wal = false;
        int rc = sqlite3_prepare_v2(st->db, "PRAGMA journal_mode = WAL", -1, &s, NULL);
        if (rc == SQLITE_OK)
            rc = sqlite3_step(s);
        if (rc == SQLITE_ROW)
            is_wal = strcmp((const char *)sqlite3_column_text(s, 0), "wal") == 0;
        if (is_wal) {
            sqlite3_finalize(s);
            return ST_OK;
        }
        if (rc != SQLITE_ROW && ((rc & 0xFF) != SQLITE_BUSY || waited_ms >= STORE_BUSY_MS)) {
            enum status status = store_fail(st, OPENING, e);
            sqlite3_finalize(s);
            return status;
        }
        sqlite3_finalize(s);
        if (rc == SQLITE_ROW)
            return err_set(e, ST_IO,
                           "The store %s lies where a log cannot be kept beside it (a network folder?). Name a file "
                           "on a disk of this machine with --db FILE.",
                           st->shown);
        sqlite3_sleep(10);
    }
}

static enum status create_or_migrate(struct store *st, struct err *e)
{
    int64_t version;
    enum status status = store_begin(st, OPENING, e);
    if (status != ST_OK)
        return status;
    status = look_inside(st, &version, e); /* again: another process may just have done it */
    if (status == ST_OK)
        status = store_migrate(st, (int)version, e);
    return store_finish(st, status, OPENING, e);
}

static enum status prepare_connection(struct store *st, struct err *e)
{
    static const char PRAGMAS[] =
        "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA recursive_triggers = ON;"
        "PRAGMA trusted_schema = OFF; PRAGMA secure_delete = ON; PRAGMA cache_size = -1024;";
    sqlite3_extended_result_codes(st->db, 1);
    if (sqlite3_busy_timeout(st->db, STORE_BUSY_MS) != SQLITE_OK ||
        sqlite3_db_config(st->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL) != SQLITE_OK ||
        sqlite3_exec(st->db, PRAGMAS, NULL, NULL, NULL) != SQLITE_OK)
        return store_fail(st, OPENING, e);
    return ST_OK;
}

static enum status open_database(struct store *st, const char *name, int flags, int64_t *version, struct err *e)
{
    int rc = sqlite3_open_v2(name, &st->db, flags | SQLITE_OPEN_NOMUTEX, NULL);
    if (rc != SQLITE_OK)
        return store_say(st->shown, rc, st->db ? sqlite3_system_errno(st->db) : 0, OPENING, e);
    enum status status = prepare_connection(st, e);
    return status == ST_OK ? look_inside(st, version, e) : status;
}

/** What is lost with the machine then is what would have been thrown away. */
static enum status wait_for_no_disk(struct store *st, struct err *e)
{
    return sqlite3_exec(st->db, "PRAGMA synchronous = OFF", NULL, NULL, NULL) == SQLITE_OK ? ST_OK
                                                                                          : store_fail(st, OPENING, e);
}

static enum status open_to_write(struct store *st, enum store_mode mode, struct err *e)
{
    int64_t version = 0;
    enum status status = make_folders(st, e);
    if (status == ST_OK && access(st->path, F_OK) != 0)
        status = make_file(st, e);
    if (status == ST_OK)
        status = look_at_file(st, STORE_WRITE, e);
    if (status == ST_OK)
        status = open_database(st, st->path, SQLITE_OPEN_READWRITE, &version, e);
    if (status == ST_OK && mode == STORE_THROW_AWAY)
        status = wait_for_no_disk(st, e);
    if (status == ST_OK)
        status = switch_to_wal(st, e);
    if (status != ST_OK)
        return status;
    st->is_writable = true;
    return version < STORE_VERSION ? create_or_migrate(st, e) : ST_OK;
}

/** A store on a read-only medium has no file beside it for the readers; without a log none is needed. */
static enum status open_immutable(struct store *st, int64_t *version, struct err *e)
{
    char address[3 * STORE_PATH_CAP + 32];
    if (size_beside(st, "-wal") > 0)
        return err_set(e, ST_READ_ONLY,
                       "The store %s lies on a read-only medium with a log beside it (-wal) that was not merged. Copy "
                       "both files to a folder where you may write, and name the copy with --db FILE.",
                       st->shown);
    if (!immutable_address(st->path, address, sizeof address))
        return err_set(e, ST_RANGE, "The path of the store is too long: %s", st->shown);
    sqlite3_close(st->db);
    st->db = NULL;
    return open_database(st, address, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, version, e);
}

static enum status open_to_read(struct store *st, struct err *e)
{
    int64_t version = 0;
    enum status status = look_at_file(st, STORE_READ, e);
    if (status != ST_OK)
        return status;
    char folder[STORE_PATH_CAP];
    folder_of(st->path, folder);
    status = open_database(st, st->path, SQLITE_OPEN_READONLY, &version, e);
    bool is_sealed_off = faccessat(AT_FDCWD, folder, W_OK | X_OK, AT_EACCESS) != 0;
    if (is_sealed_off && (status == ST_IO || status == ST_READ_ONLY || status == ST_PERMISSION))
        status = open_immutable(st, &version, e);
    if (status == ST_OK && version == 0)
        return err_set(e, ST_NOT_FOUND, "The store %s is empty: nothing was recorded in it yet.", st->shown);
    return status == ST_OK && version < STORE_VERSION ? store_read_as_new(st, (int)version, e) : status;
}

enum status store_open(const char *path, enum store_mode mode, struct store **out, struct err *e)
{
    *out = NULL;
    size_t len = strlen(path);
    if (len == 0)
        return err_set(e, ST_USAGE, "The store has no name: give a file after --db.");
    if (len + sizeof "./" + sizeof "-journal" > STORE_PATH_CAP)
        return err_set(e, ST_RANGE, "The path of the store is too long: %zu bytes, at most %d. Name a shorter one.",
                       len, STORE_PATH_CAP - 16);
    struct store *st = calloc(1, sizeof *st);
    if (!st)
        return err_set(e, ST_NO_MEMORY, "There is not enough memory to open the store. Close other programs.");
    /* "./" keeps SQLite from taking names such as :memory: for something else than files. */
    snprintf(st->path, sizeof st->path, "%s%s", path[0] == '/' ? "" : "./", path);
    store_show_path(path, st->shown, sizeof st->shown);
    enum status status = mode == STORE_READ ? open_to_read(st, e) : open_to_write(st, mode, e);
    if (status != ST_OK) {
        store_close(st);
        return status;
    }
    *out = st;
    return ST_OK;
}

void store_close(struct store *st)
{
    if (!st)
        return;
    if (st->is_writable && st->offered)
        store_return_code(st);
    for (int q = 0; q < Q_COUNT; q++)
        sqlite3_finalize(st->queries[q]);
    sqlite3_close(st->db);
    ring_free(st->ring);
    free(st);
}
