package takewright.cli;

/** The {@code takewright} command. */
public final class Main {
  private Main() {}

  public static void main(String[] args) {
    System.exit(2);
  }
}
