package takewright.library.folder;

import java.util.List;
import takewright.map.Zone;
import takewright.name.NoteNames;

/**
 * The key map of a library as its folder holds it.
 *
 * @param zones where each sample lies
 * @param names how the library spells its notes
 */
public record LibraryMap(List<Zone> zones, NoteNames names) {}
