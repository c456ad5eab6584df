package takewright.service.call;

import java.io.IOException;
import java.nio.file.Path;
import takewright.service.access.GrantedFolders;
import takewright.sheet.Layer;
import takewright.sheet.MapTemplate;
import takewright.sheet.Sheet;
import takewright.sheet.Take;

/** The files that a sheet names. */
public final class SheetFiles {
  private SheetFiles() {}

  /** Files named by a sheet must be granted like those named by a request. */
  public static void check(GrantedFolders folders, Sheet sheet) throws IOException {
    for (Take take : sheet.takes()) {
      for (Path file : take.paths()) {
        folders.mayReach("sheet_file", file);
      }
    }
    for (Layer layer : sheet.layers()) {
      if (layer.impulse() != null) {
        folders.mayReach("sheet_file", layer.impulse());
      }
    }
    for (MapTemplate template : sheet.map().templates()) {
      folders.mayReach("sheet_file", template.file());
    }
  }
}
