package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.report.ReportedBuild;

/**
 * A process of its own that builds, to be killed or starved. Builds the sheet into one folder after
 * the other, {@code FOLDER/1}, {@code FOLDER/2} and on, for as long as it lives, and writes a dot
 * whenever it has got on; with a third word, into FOLDER alone, once, and says in one line what
 * came of it.
 */
final class BuildToKill {
  private BuildToKill() {}

  public static void main(String[] words) throws IOException {
    Path sheet = Path.of(words[0]);
    Path folder = Path.of(words[1]);
    if (words.length > 2) {
      try {
        ReportedBuild.run(sheet, folder, progress -> {}, () -> false, false);
        System.out.println("built");
      } catch (IOException e) {
        System.out.println(e.getMessage());
      }
      return;
    }
    int n = 1;
    while (Files.exists(folder.resolve(n + "/index.csv"))
        && Files.notExists(folder.resolve(n + "/.takewright/before.csv"))) {
      n++;
    }
    System.out.println("begins");
    System.out.flush();
    for (; n < 1000; n++) {
      Path library = folder.resolve(Integer.toString(n));
      ReportedBuild.run(sheet, library, progress -> dot(), () -> false, false);
    }
  }

  private static void dot() {
    System.out.print('.');
    System.out.flush();
  }
}
