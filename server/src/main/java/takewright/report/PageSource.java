package takewright.report;

import java.io.IOException;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.library.folder.IndexRow;

/**
 * Makes what the page of a build lacks on the disk, when it is asked for while the page is served:
 * pictures and sounds of any region.
 */
public final class PageSource {
  private final SamplePictures pictures;
  private final Map<String, IndexRow> regions = new HashMap<>();

  PageSource(SamplePictures pictures, List<IndexRow> rows) {
    this.pictures = pictures;
    for (IndexRow row : rows) {
      String script = pictures.script(row);
      if (!script.isEmpty()) {
        regions.put(script, row);
      }
    }
  }

  /**
   * A script of the page.
   *
   * @param part the folder that it would lie in: pictures or sounds
   * @param name its file name
   * @return its bytes; null if there is no such region
   * @throws IOException if the take or the sample cannot be read
   */
  public byte[] script(String part, String name) throws IOException {
    IndexRow row = regions.get(name);
    boolean known = part.equals(SamplePictures.PICTURES) || part.equals(SamplePictures.SOUNDS);
    return row == null || !known ? null : pictures.content(part, row);
  }
}
