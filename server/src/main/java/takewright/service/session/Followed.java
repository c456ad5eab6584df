package takewright.service.session;

import takewright.library.follow.Follow;
import takewright.sheet.Sheet;
import takewright.sheet.Take;

/** What a session follows: a take of a sheet. */
record Followed(Sheet sheet, Take take, Follow follow) {
  /** A note as the sheet spells it; empty for none. */
  String spell(Integer midi) {
    return midi == null ? "" : sheet.naming().noteNames().spell(midi);
  }
}
