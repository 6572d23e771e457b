// Starts the language server and joins the editor to it. Colours need nothing of this: without a server the
// editor still shows them, and says once what is missing.

const vscode = require("vscode");
const { LanguageClient, TransportKind } = require("vscode-languageclient/node");

let client;

function settings() {
  return vscode.workspace.getConfiguration("fantail");
}

async function start() {
  if (!settings().get("server.on")) return;
  const command = settings().get("server.path") || "fantail-lsp";
  client = new LanguageClient(
    "fantail",
    "Fantail",
    { command, transport: TransportKind.stdio },
    {
      documentSelector: [{ language: "fantail" }],
      synchronize: {
        configurationSection: "fantail",
        fileEvents: vscode.workspace.createFileSystemWatcher("**/*.fantail"),
      },
    },
  );
  try {
    await client.start();
  } catch (problem) {
    client = undefined;
    const choice = await vscode.window.showWarningMessage(
      `Fantail shows colours only: \`${command}\` did not start (${problem.message}).`,
      "Set its path",
    );
    if (choice) vscode.commands.executeCommand("workbench.action.openSettings", "fantail.server.path");
  }
}

async function stop() {
  const running = client;
  client = undefined;
  await running?.stop();
}

async function restart() {
  await stop();
  await start();
}

exports.activate = async (context) => {
  context.subscriptions.push(vscode.commands.registerCommand("fantail.restart", restart));
  context.subscriptions.push(
    vscode.workspace.onDidChangeConfiguration((event) => event.affectsConfiguration("fantail.server") && restart()),
  );
  await start();
};

exports.deactivate = stop;
