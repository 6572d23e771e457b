-- Neovim's own client, started by the lines of the setup page. It edits the rig as a user would and saves it.

vim.lsp.set_log_level("debug")
local seen = {}

local function main()
  local function wait(what, test)
    local found
    assert(vim.wait(20000, function() found = test() return found end, 20), "waited in vain for " .. what)
    return found
  end
  local function diagnostic(part)
    for _, one in ipairs(vim.diagnostic.get(0)) do
      if one.message:find(part, 1, true) then return one end
    end
  end
  local function text() return table.concat(vim.api.nvim_buf_get_lines(0, 0, -1, false), "\n") .. "\n" end
  local function go(pattern)
    vim.api.nvim_win_set_cursor(0, { 1, 0 })
    assert(vim.fn.search(pattern, "W") > 0, "no " .. pattern)
  end
  local function client() return (vim.lsp.get_clients or vim.lsp.get_active_clients)()[1] end
  local function ask(method)
    local params = vim.lsp.util.make_position_params(0, client().offset_encoding)
    local answer = vim.lsp.buf_request_sync(0, method, params, 20000)
    return assert(select(2, next(answer)).result, method .. " said nothing")
  end

  assert(vim.bo.filetype == "fantail" and vim.b.current_syntax == "fantail", "the page's lines give no colours")

  -- A message, and its quick fix.
  local wrong = wait("the message", function() return diagnostic("pencill") end)
  wait("a note, which the page's settings ask for", function()
    return #vim.diagnostic.get(0, { severity = vim.diagnostic.severity.INFO }) > 0
  end)
  vim.api.nvim_win_set_cursor(0, { wrong.lnum + 1, wrong.col })
  vim.ui.select = function(items, _, chosen)
    for at, item in ipairs(items) do
      local action = item.action or item[2]
      if action.title == "write `pencil`" then return chosen(item, at) end
    end
    error("no fix among " .. vim.inspect(items))
  end
  vim.lsp.buf.code_action()
  wait("the fix", function() return not text():find("pencill", 1, true) end)
  wait("the message to go", function() return not diagnostic("pencill") end)

  go([[\<lead-vocal\>]])
  vim.lsp.buf.hover()
  local said = wait("a hover", function()
    for _, window in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(window).relative ~= "" then
        return table.concat(vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(window), 0, -1, false), "\n")
      end
    end
  end)
  assert(said:find("stage-right", 1, true) and said:find("channel 25", 1, true), "no path in: " .. said)

  go([[^ *36  foh-talk]])
  local row = vim.fn.line(".")
  vim.fn.append(row, "     37  guest  dynamic  from foh.local ")
  vim.api.nvim_win_set_cursor(0, { row + 1, #vim.fn.getline(row + 1) })
  vim.cmd("startinsert!")
  local found = ask("textDocument/completion")
  local items = vim.lsp.util.text_document_completion_list_to_complete_items(found, "")
  assert(items[1].word == "3", "not the free socket: " .. vim.inspect(items[1]))
  vim.cmd("stopinsert")
  vim.cmd(row + 1 .. "delete")

  -- In this file and in a venue that is not open.
  go([[\<drum-pad\>]])
  vim.lsp.buf.rename("pads")
  wait("the other name", function() return text():find("pads", 1, true) end)

  local laid_out = vim.fn.system({ "fantail", "tidy", "-" }, text())
  if vim.lsp.buf.format then vim.lsp.buf.format({ timeout_ms = 20000 }) else vim.lsp.buf.formatting_sync(nil, 20000) end
  assert(text() == laid_out, "not as `fantail tidy` lays it out")
  vim.cmd("silent wall")
end

local ok, problem = xpcall(main, debug.traceback)
if not ok then
  io.stderr:write(problem, "\n")
  vim.cmd("cquit 1")
end
vim.cmd("qall")
